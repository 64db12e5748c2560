import { createPrivateKey } from 'node:crypto';
import { copyFile, readFile, writeFile } from 'node:fs/promises';
import { request } from 'node:https';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, onTestFinished, test } from 'vitest';
import { WebSocket } from 'ws';
import { serve } from '../../server/serve.ts';
import { readTls } from '../../server/tls.ts';
import { temporaryDirectory } from './support/directory.ts';

const pem = (name: string) => fileURLToPath(new URL(`support/tls/${name}.pem`, import.meta.url));
const NOW = new Date('2031-05-04T09:00:00Z');

describe('certificate and key', () => {
  test('that belong together are taken', async () => {
    const { cert, key } = await readTls({ certPath: pem('cert'), keyPath: pem('key') }, NOW);
    expect(cert.toString()).toContain('BEGIN CERTIFICATE');
    expect(key.toString()).toContain('PRIVATE KEY');
  });

  test('are refused with the file and what is wrong', async () => {
    const folder = await temporaryDirectory();
    const locked = join(folder, 'locked.pem');
    const key = createPrivateKey(await readFile(pem('key')));
    await writeFile(
      locked,
      key.export({ type: 'pkcs8', format: 'pem', cipher: 'aes-256-cbc', passphrase: 'of these tests' }),
    );
    const empty = join(folder, 'empty.pem');
    await writeFile(empty, '');
    const missing = join(folder, 'missing.pem');

    const refused = (certPath: string, keyPath: string, now = NOW) =>
      readTls({ certPath, keyPath }, now).then(
        () => 'taken',
        ({ code, message }) => `${code}: ${message}`,
      );
    expect(await refused(missing, pem('key'))).toBe(
      `tls-unreadable: the certificate ${missing} cannot be read: there is no such file`,
    );
    expect(await refused(pem('cert'), folder)).toBe(`tls-unreadable: the key ${folder} cannot be read: it is a folder`);
    expect(await refused(pem('key'), pem('cert'))).toMatch(/^tls-certificate: .*key\.pem .*swapped/);
    expect(await refused(empty, pem('key'))).toMatch(/^tls-certificate: .*empty\.pem .*none in PEM/);
    expect(await refused(pem('cert'), pem('other-cert'))).toMatch(/^tls-key: .*other-cert\.pem .*swapped/);
    expect(await refused(pem('cert'), empty)).toMatch(/^tls-key: .*empty\.pem .*none in PEM/);
    expect(await refused(pem('cert'), locked)).toMatch(/^tls-key: .*locked\.pem .*passphrase/);
    expect(await refused(pem('cert'), pem('other-key'))).toMatch(/^tls-mismatch: .*other-key\.pem .*cert\.pem/);
    expect(await refused(pem('cert'), pem('key'), new Date('2001-01-01'))).toMatch(/^tls-out-of-date: .*valid from/);
    expect(await refused(pem('cert'), pem('key'), new Date('2301-01-01'))).toMatch(/^tls-out-of-date/);
  });
});

/** What the server answers over HTTPS, with the certificate that it shows. */
function ask(url: string, ca: string): Promise<{ status: number | undefined; body: string; fingerprint: string }> {
  return new Promise((resolve, reject) => {
    const asked = request(url, { ca, agent: false }, (response) => {
      let body = '';
      const { socket } = response;
      const fingerprint = 'getPeerCertificate' in socket ? fingerprintOf(socket.getPeerCertificate) : '';
      response.on('data', (piece) => {
        body += piece;
      });
      response.on('end', () => resolve({ status: response.statusCode, body, fingerprint }));
      function fingerprintOf(get: unknown): string {
        return typeof get === 'function' ? get.call(socket).fingerprint256 : '';
      }
    });
    asked.on('error', reject);
    asked.end();
  });
}

test('a server with certificate and key speaks HTTPS, and takes new ones while it runs', async () => {
  const dataDir = await temporaryDirectory();
  const [certPath, keyPath] = [join(dataDir, 'c.pem'), join(dataDir, 'k.pem')];
  await copyFile(pem('cert'), certPath);
  await copyFile(pem('key'), keyPath);
  const options = { host: '127.0.0.1', port: 0, demo: false, open: false, dataDir };
  const server = await serve({ ...options, tls: { certPath, keyPath } });
  onTestFinished(() => server.close());
  expect(server.url).toMatch(/^https:\/\/127\.0\.0\.1:\d+$/);
  const [ca, otherCa] = [await readFile(pem('cert'), 'utf8'), await readFile(pem('other-cert'), 'utf8')];
  const first = await ask(`${server.url}/healthz`, ca);
  expect(first.status).toBe(200);

  const socket = new WebSocket(`${server.url.replace('https', 'wss')}/api/live`, { ca });
  onTestFinished(() => socket.terminate());
  const [hello] = await new Promise<unknown[]>((resolve, reject) => {
    socket.on('message', (...args) => resolve(args));
    socket.on('error', reject);
  });
  expect(String(hello)).toContain('hello');

  // a faulty renewal leaves the old pair in force
  await copyFile(pem('other-cert'), certPath);
  await expect(server.renewTls()).rejects.toMatchObject({ code: 'tls-mismatch' });
  expect((await ask(`${server.url}/healthz`, ca)).status).toBe(200);
  await copyFile(pem('other-key'), keyPath);
  await server.renewTls();
  const second = await ask(`${server.url}/healthz`, otherCa);
  expect(second.status).toBe(200);
  expect(second.fingerprint).not.toBe(first.fingerprint);
  await expect(ask(`${server.url}/healthz`, ca)).rejects.toThrow();
});
