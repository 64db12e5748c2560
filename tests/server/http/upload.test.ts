import { createHash } from 'node:crypto';
import { readdirSync } from 'node:fs';
import { connect } from 'node:net';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { form, portOf, type TestApp, testApp } from '../support/app.ts';
import { FakeDecoding } from '../support/fake-decoding.ts';

const MIB = 2 ** 20;

const incoming = ({ dataDir }: TestApp) => readdirSync(join(dataDir, 'incoming'));

/** A form with a file of so many MiB, made while it is sent. */
function longForm(mebibytes: number) {
  const { payload, headers } = form({ mission: 'any', station: 'Q1LARK' }, Buffer.from('FILE'));
  const [head, tail] = payload.toString().split('FILE');
  const pieces = (function* () {
    yield Buffer.from(head);
    for (let n = 0; n < mebibytes; n++) yield Buffer.alloc(MIB, n);
    yield Buffer.from(tail);
  })();
  const body = new ReadableStream<Uint8Array>({
    pull(controller) {
      const { value, done } = pieces.next();
      if (done) controller.close();
      else controller.enqueue(value);
    },
  });
  return { method: 'POST', body, headers, duplex: 'half' };
}

function sumOf(mebibytes: number): string {
  const hash = createHash('sha256');
  for (let n = 0; n < mebibytes; n++) hash.update(Buffer.alloc(MIB, n));
  return hash.digest('hex');
}

test('a sender that vanishes leaves nothing behind, and the server goes on', async () => {
  const built = await testApp();
  const port = await portOf(built);
  const { payload, headers } = form({ mission: 'any', station: 'Q1LARK' }, Buffer.alloc(MIB, 1));
  const socket = connect(port, '127.0.0.1');
  socket.write(
    `POST /api/recordings HTTP/1.1\r\nHost: x\r\nContent-Type: ${headers['content-type']}\r\nContent-Length: ${payload.length}\r\n\r\n`,
  );
  socket.write(payload.subarray(0, MIB / 2));
  await expect.poll(() => incoming(built).length).toBe(1);
  socket.destroy();
  await expect.poll(() => incoming(built)).toEqual([]);
  expect((await fetch(`http://127.0.0.1:${port}/healthz`)).status).toBe(200);
  expect((await built.services.store.jobCounts()).waiting).toBe(0);
  expect(built.complaints).toEqual([]);
});

test('a sender whose recording grows beyond the limit while it is sent gets told so', async () => {
  const built = await testApp({ limits: { recordingBytes: MIB } });
  const port = await portOf(built);
  const response = await fetch(`http://127.0.0.1:${port}/api/recordings`, longForm(8));
  expect(await response.json()).toMatchObject({ status: 413, code: 'recording-too-large', limit: MIB });
  expect(incoming(built)).toEqual([]);
});

test('a recording of many megabytes arrives whole', async () => {
  const decoding = new FakeDecoding();
  decoding.hold();
  const built = await testApp({ decoding });
  const port = await portOf(built);
  const response = await fetch(`http://127.0.0.1:${port}/api/recordings`, longForm(40));
  expect(response.status).toBe(202);
  const recording = await built.services.store.recording(1);
  expect(recording).toMatchObject({ bytes: 40 * MIB, sha256: sumOf(40) });
});
