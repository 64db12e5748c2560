import { createReadStream } from 'node:fs';
import type { Readable } from 'node:stream';
import { Type } from 'typebox';
import { needOwner } from '../../access/rules.ts';
import { Refusal } from '../../refusal.ts';
import type { Services } from '../../services.ts';
import { PIECE_SECONDS, type Stretch } from '../../sound/cutter.ts';
import { soundOf } from '../../sound/sound-of.ts';
import type { App } from '../app-types.ts';
import { bytesWanted } from '../byte-range.ts';
import { Problem, RecordingId, StretchQuery, WavFile } from '../messages.ts';
import { seenBursts } from '../seen-bursts.ts';
import { visibleRecording } from '../visible.ts';

const Params = Type.Object({ id: RecordingId });
const BurstParams = Type.Object({ id: RecordingId, index: Type.Integer({ minimum: 0 }) });
const WAV = { content: { 'audio/wav': { schema: WavFile } } };
const BYTES = {
  content: { 'application/octet-stream': { schema: Type.Unsafe<Readable>(Type.String()) } },
};

/** Longest stretch that is given in one answer, and longest that is sampled in pieces. */
const STRETCH_SECONDS_MAX = 120;
/** A browser's own cache only: what is deleted, or made private, is soon gone everywhere. */
const CACHED = 'private, max-age=3600';

/** What a recording sounds like: the stretches of its bursts for all, the rest for its sender and the team. */
export function soundRoutes(app: App, services: Services): void {
  app.get(
    '/api/recordings/:id/bursts/:index/audio',
    {
      schema: {
        summary:
          'The sound of a burst and a second around it, of I/Q demodulated; without a key, of what is under its frames',
        params: BurstParams,
        response: { 200: WAV, 304: Type.Null(), '4xx': Problem, 507: Problem },
      },
    },
    async ({ params, caller, headers }, reply) => {
      const recording = await visibleRecording(services, caller, params.id);
      const bursts = await seenBursts(services, caller, recording);
      const seen = bursts.find(({ stored }) => stored.index === params.index);
      if (seen === undefined) {
        throw new Refusal(
          'burst-unknown',
          `${params.id} has ${bursts.length} bursts, counted from 0; ${params.index} was asked for`,
          { at: 'params/index' },
        );
      }
      if (seen.audible === null) needOwner(caller, recording);
      const audible = seen.audible ?? { ...seen.stored.burst, silences: [] };
      const tag = etag(recording.sha256, audible, audible.silences.length);
      reply.header('cache-control', CACHED).header('vary', 'authorization').header('etag', tag);
      if (headers['if-none-match'] === tag) return reply.code(304).send(null);
      // What was cut out of a band is sound by now.
      const carrier = (recording.audio?.iq && seen.stored.burst.carrier) ?? null;
      const wav = await soundOf(services, recording, audible, { carrier });
      return reply.type('audio/wav').send(wav);
    },
  );

  app.get(
    '/api/recordings/:id/stretch',
    {
      schema: {
        summary: 'The sound of any stretch of a recording, for its sender and the team',
        params: Params,
        querystring: StretchQuery,
        response: { 200: WAV, 304: Type.Null(), '4xx': Problem, 507: Problem },
      },
    },
    async ({ params, query, caller, headers }, reply) => {
      const recording = await visibleRecording(services, caller, params.id);
      needOwner(caller, recording);
      const { from, to, pieces = null } = query;
      const stretch = { startSeconds: from, endSeconds: to };
      checkStretch(stretch, pieces);
      const tag = etag(recording.sha256, stretch, pieces ?? 0);
      reply.header('cache-control', CACHED).header('vary', 'authorization').header('etag', tag);
      if (headers['if-none-match'] === tag) return reply.code(304).send(null);
      const wav = await soundOf(services, recording, stretch, { pieces });
      return reply.type('audio/wav').send(wav);
    },
  );

  app.get(
    '/api/recordings/:id/audio',
    {
      schema: {
        summary: 'The recording as it was sent, for its sender and the team; takes a range of bytes',
        params: Params,
        response: { 200: BYTES, 206: BYTES, '4xx': Problem },
      },
    },
    async ({ params, caller, headers }, reply) => {
      const recording = await visibleRecording(services, caller, params.id);
      needOwner(caller, recording);
      const { sha256, bytes, fileName } = recording;
      const range = bytesWanted(headers.range, bytes);
      reply.header('accept-ranges', 'bytes').header('cache-control', CACHED).header('vary', 'authorization');
      if (range === 'none') {
        reply.header('content-range', `bytes */${bytes}`);
        throw new Refusal(
          'range-impossible',
          `the recording has ${bytes} bytes; the range asked for holds none of them`,
          {
            at: 'headers/range',
            limit: bytes,
          },
        );
      }
      const { first, last } = range ?? { first: 0, last: bytes - 1 };
      reply
        .header('etag', `"${sha256}"`)
        .type('application/octet-stream')
        .header('content-length', last - first + 1);
      reply.header(
        'content-disposition',
        `attachment; filename*=UTF-8''${encodeURIComponent(fileName ?? params.id).replace(/['()*]/g, '_')}`,
      );
      if (range !== null) reply.code(206).header('content-range', `bytes ${first}-${last}/${bytes}`);
      return reply.send(createReadStream(services.files.pathOf(sha256), { start: first, end: last }));
    },
  );
}

function etag(sha256: string, { startSeconds, endSeconds }: Stretch, pieces: number): string {
  return `"${sha256.slice(0, 32)}-${startSeconds.toFixed(4)}-${endSeconds.toFixed(4)}-${pieces}"`;
}

function checkStretch({ startSeconds, endSeconds }: Stretch, pieces: number | null): void {
  const seconds = endSeconds - startSeconds;
  if (!(seconds > 0)) {
    throw new Refusal('request-malformed', `"to" must lie after "from"; ${startSeconds} to ${endSeconds} was given`, {
      at: 'querystring/to',
    });
  }
  if (pieces === null && seconds > STRETCH_SECONDS_MAX) {
    throw new Refusal(
      'request-malformed',
      `at most ${STRETCH_SECONDS_MAX} s are given at once, ${seconds} s were asked for: ask for less, or for pieces`,
      { at: 'querystring/to', limit: STRETCH_SECONDS_MAX },
    );
  }
  if (pieces !== null && seconds < pieces * PIECE_SECONDS) {
    throw new Refusal(
      'request-malformed',
      `${pieces} pieces of ${PIECE_SECONDS} s do not fit into ${seconds} s: ask for fewer, or for all of it`,
      { at: 'querystring/pieces' },
    );
  }
}
