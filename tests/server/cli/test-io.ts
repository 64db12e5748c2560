import { Readable, Writable } from 'node:stream';
import type { Io } from '../../../server/cli/io.ts';

/** Streams of a test's own, and what was written to them. */
export function testIo(given: Partial<Io> & { input?: string | Uint8Array } = {}): {
  io: Io;
  out(): string;
  err(): string;
} {
  const out = collector();
  const err = collector();
  const { input = '', ...rest } = given;
  const io: Io = {
    stdin: Readable.from([typeof input === 'string' ? Buffer.from(input) : input]),
    stdout: out.stream,
    stderr: err.stream,
    env: {},
    interactive: false,
    cores: 1,
    ...rest,
  };
  return { io, out: out.text, err: err.text };
}

function collector(): { stream: Writable; text(): string } {
  const chunks: Buffer[] = [];
  const stream = new Writable({
    write(chunk, _encoding, done) {
      chunks.push(Buffer.from(chunk));
      done();
    },
  });
  return { stream, text: () => Buffer.concat(chunks).toString('utf8') };
}
