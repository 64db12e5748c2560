import { connect } from 'node:net';
import { expect, test } from 'vitest';
import { portOf, testApp } from '../support/app.ts';

/** Everything that the server answers to these bytes until it hangs up. */
async function answerTo(port: number, bytes: string): Promise<{ head: string; problem: unknown }> {
  const socket = connect(port, '127.0.0.1');
  socket.end(bytes);
  let answer = '';
  for await (const chunk of socket) answer += chunk;
  const [head, body] = answer.split('\r\n\r\n');
  return { head, problem: JSON.parse(body) };
}

test.each([
  [
    'headers without end',
    `GET /healthz HTTP/1.1\r\nHost: x\r\nX-Long: ${'x'.repeat(20_000)}\r\n\r\n`,
    431,
    'headers-too-large',
  ],
  ['no HTTP', '\x16\x03\x01\x00\x05\r\n\r\n', 400, 'request-malformed'],
  [
    'a length below nothing',
    'POST /api/frames HTTP/1.1\r\nHost: x\r\nContent-Length: -5\r\n\r\n',
    400,
    'request-malformed',
  ],
])('%s are answered with a problem, and the server goes on', async (_what, bytes, status, code) => {
  const port = await portOf(await testApp());
  const { head, problem } = await answerTo(port, bytes);
  expect(head).toContain(`HTTP/1.1 ${status} `);
  expect(head).toContain('application/problem+json');
  expect(problem).toMatchObject({ status, code });
  expect((await fetch(`http://127.0.0.1:${port}/healthz`)).status).toBe(200);
});
