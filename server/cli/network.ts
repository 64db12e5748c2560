import { BlockList, isIP } from 'node:net';
import { InvalidArgumentError } from 'commander';
import type { TlsFiles } from '../tls.ts';
import { CommandError } from './exit.ts';

/** Where a proxy stands that runs beside the server. */
export const USUAL_PROXY = 'loopback';

/**
 * The address at which people reach the server, without a slash at its end.
 *
 * @throws InvalidArgumentError when it is none, or more than a host and a port.
 */
export function parsePublicUrl(text: string): string {
  const url = URL.canParse(text) ? new URL(text) : null;
  if (url === null || !/^https?:$/.test(url.protocol)) {
    throw new InvalidArgumentError('An address such as https://wren.example is expected.');
  }
  if (url.username !== '' || url.search !== '' || url.hash !== '' || url.pathname !== '/') {
    throw new InvalidArgumentError(
      'Scheme, host and port only, such as https://wren.example: it has a name of its own.',
    );
  }
  return url.origin;
}

/**
 * Proxies that are trusted, as a list with commas between.
 *
 * @throws InvalidArgumentError for what is no IP address, no range of them (`10.0.0.0/8`) and not `loopback`.
 */
export function parseProxies(text: string): string {
  const proxies = text.split(',').map((each) => each.trim());
  for (const proxy of proxies) {
    if (proxy !== USUAL_PROXY && !isAddressRange(proxy)) {
      throw new InvalidArgumentError(
        'IP addresses, ranges such as 10.0.0.0/8, or "loopback" are expected, with commas between.',
      );
    }
  }
  return proxies.join(',');
}

function isAddressRange(text: string): boolean {
  const [address = '', length, ...more] = text.split('/');
  const version = isIP(address);
  if (version === 0 || more.length > 0) return false;
  if (length === undefined) return true;
  try {
    new BlockList().addSubnet(address, /^\d+$/.test(length) ? Number(length) : -1, version === 4 ? 'ipv4' : 'ipv6');
    return true;
  } catch {
    return false;
  }
}

/**
 * Certificate and key, or neither.
 *
 * @throws CommandError `tls-incomplete` for one without the other.
 */
export function tlsFilesOf(certPath: string | undefined, keyPath: string | undefined): TlsFiles | null {
  if (certPath === undefined && keyPath === undefined) return null;
  if (certPath !== undefined && keyPath !== undefined) return { certPath, keyPath };
  const [given, missing] = certPath === undefined ? ['--tls-key', '--tls-cert'] : ['--tls-cert', '--tls-key'];
  throw new CommandError('tls-incomplete', `${given} was given without ${missing}: HTTPS needs both files`);
}
