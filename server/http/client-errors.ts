import { STATUS_CODES } from 'node:http';
import type { Socket } from 'node:net';
import { Refusal } from '../refusal.ts';
import { problemOf } from './problems.ts';

/** Answers what never became a request, because it breaks off, takes too long or is not HTTP. */
export function answerClientError(error: Error & { readonly code?: string }, socket: Socket): void {
  if (error.code === 'ECONNRESET' || socket.destroyed) return;
  if (socket.writable) {
    const problem = problemOf(refusalOf(error.code));
    const body = JSON.stringify(problem);
    socket.write(
      [
        `HTTP/1.1 ${problem.status} ${STATUS_CODES[problem.status]}`,
        'Content-Type: application/problem+json; charset=utf-8',
        `Content-Length: ${Buffer.byteLength(body)}`,
        'Connection: close',
        '',
        body,
      ].join('\r\n'),
    );
  }
  socket.destroySoon();
}

function refusalOf(code: string | undefined): Refusal {
  switch (code) {
    case 'HPE_HEADER_OVERFLOW':
      return new Refusal(
        'headers-too-large',
        'the address and headers are longer than this server reads: shorten them',
        {
          at: 'headers',
        },
      );
    case 'ERR_HTTP_REQUEST_TIMEOUT':
      return new Refusal('request-too-slow', 'the request took too long to arrive: send it again');
    default:
      return new Refusal('request-malformed', 'this is no HTTP request: send HTTP/1.1');
  }
}
