import { Refusal } from '../refusal.ts';

/** The subprotocol of `/api/live`. */
export const LIVE_PROTOCOL = 'fiveunit.live';
const KEY_PROTOCOL = 'key.';

/** The key that a browser, which cannot set headers here, sends as a subprotocol: `key.` + base64url of the key. */
export function subprotocolKey(header: string | undefined): string | null {
  const protocol = (header ?? '')
    .split(',')
    .map((each) => each.trim())
    .find((each) => each.startsWith(KEY_PROTOCOL));
  if (protocol === undefined) return null;
  const key = Buffer.from(protocol.slice(KEY_PROTOCOL.length), 'base64url').toString('utf8');
  if (key !== '') return key;
  throw new Refusal('key-unknown', 'the subprotocol must read key. and the key in base64url', {
    at: 'headers/sec-websocket-protocol',
  });
}
