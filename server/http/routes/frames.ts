import { Type } from 'typebox';
import { DECODER_VERSION } from '../../../decoders/decoder-version.ts';
import type { Caller } from '../../access/caller.ts';
import { maySeePrivate, owns, vouchesFor } from '../../access/rules.ts';
import { normalCallSign } from '../../call-sign.ts';
import { acceptLine } from '../../intake/lines.ts';
import { readingsOfStored } from '../../readings/of-stored.ts';
import { Refusal } from '../../refusal.ts';
import type { Services } from '../../services.ts';
import type { FrameQuery, StoredFrame } from '../../store/records.ts';
import { instantOf, isoTimeOrNull, receptionInstant } from '../../time.ts';
import type { App } from '../app-types.ts';
import { frameId, recordingId, storedId } from '../ids.ts';
import {
  FrameAccepted,
  type FrameCopy,
  FrameDetail,
  FrameId,
  FrameList,
  FrameListQuery,
  type FrameOrigin,
  FrameUpload,
  MissionId,
  type Notice,
  Problem,
} from '../messages.ts';
import { lineRate } from '../rate-limits.ts';
import { charactersView, copyView, fieldsView, frameSummary, readingView } from '../views/frame-view.ts';
import { burstFacts, slotsUnder, tapeSlots } from '../views/tape-view.ts';
import { visibleFrame, visibleMission } from '../visible.ts';
import { needMayUpload } from './recordings.ts';

export function frameRoutes(app: App, services: Services, changed: () => void): void {
  const { store, limits, clock } = services;

  app.post(
    '/api/frames',
    {
      config: { rateLimit: lineRate(limits) },
      schema: {
        summary: 'Hands over a line as somebody read or typed it',
        body: FrameUpload,
        response: { 200: FrameAccepted, 201: FrameAccepted, '4xx': Problem },
      },
    },
    async ({ body, caller }, reply) => {
      await needMayUpload(services, caller);
      const current = await visibleMission(services, caller, body.mission);
      const station = normalCallSign(body.station);
      const accepted = await acceptLine(services, current, {
        station,
        vouched: vouchesFor(caller, station),
        receivedAt: body.receivedAt === null ? null : receptionInstant(body.receivedAt, 'body/receivedAt', clock()),
        phase: body.phase ?? 'flight',
        text: body.text,
      });
      changed();
      const [first, ...more] = await Promise.all(
        accepted.frames.map((frame) => acceptedFrame(frame, accepted.assumptions)),
      );
      reply.code(accepted.added ? 201 : 200).header('location', `/api/frames/${first.id}`);
      return { ...first, more };
    },
  );

  app.get(
    '/api/missions/:id/frames',
    {
      schema: {
        summary: 'The frames of a mission by reception time, newest first; those without a time come last',
        params: Type.Object({ id: MissionId }),
        querystring: FrameListQuery,
        response: { 200: FrameList, '4xx': Problem },
      },
    },
    async ({ params, query, caller }) => {
      await visibleMission(services, caller, params.id);
      const limit = query.limit ?? 100;
      const frames = await store.frames({
        mission: params.id,
        from: query.from === undefined ? null : instantOf(query.from, 'querystring/from'),
        to: query.to === undefined ? null : instantOf(query.to, 'querystring/to'),
        station: query.station === undefined ? null : normalCallSign(query.station),
        leastTrust: query.trust ?? 'doubtful',
        phase: query.phase ?? null,
        // One more, to know whether more follow.
        limit: limit + 1,
        after: query.after === undefined ? null : afterOf(query.after),
      });
      const page = frames.slice(0, limit);
      const last = page.at(-1);
      return {
        frames: page.map(frameSummary),
        next: frames.length > limit && last !== undefined ? cursorOf(last) : null,
      };
    },
  );

  app.get(
    '/api/frames/:id',
    {
      schema: {
        summary: 'A frame with its readings and its whole origin',
        params: Type.Object({ id: FrameId }),
        response: { 200: FrameDetail, '4xx': Problem },
      },
    },
    async ({ params, caller }) => {
      const frame = await visibleFrame(services, caller, params.id);
      const { decision } = frame.decoded;
      return {
        ...frameSummary(frame),
        characters: charactersView(frame),
        decision: { ...decision, notes: [...decision.notes] },
        readings: (await readingsOfStored(services, frame)).map(readingView),
        definition: { version: frame.version, readingsVersion: frame.readingsVersion },
        origin: await originOf(frame, caller),
      };
    },
  );

  async function copiesOf({ id }: StoredFrame): Promise<FrameCopy[]> {
    const views: FrameCopy[] = [];
    for (const copy of await store.copiesOfFrame(id)) {
      const recording = await store.recording(copy.recording);
      const burst = await store.burst(copy.recording, copy.burst);
      if (recording !== null && burst !== null) views.push(copyView(copy, recording, burst));
    }
    return views;
  }

  async function acceptedFrame(frame: StoredFrame, assumptions: readonly string[]) {
    const { decoded } = frame;
    return {
      id: frameId(frame.id),
      trust: decoded.trust,
      frame: decoded.frame,
      text: decoded.text,
      checksum: decoded.checksum,
      fields: fieldsView(frame),
      readings: (await readingsOfStored(services, frame)).map(readingView),
      problems: noticesOf(frame, assumptions),
    };
  }

  async function originOf(frame: StoredFrame, caller: Caller): Promise<FrameOrigin> {
    const { source, decoded } = frame;
    if (source.kind === 'line') {
      const line = await store.line(source.line);
      if (line === null) throw new Error(`frame ${frame.id} has lost its line`);
      return {
        source: 'line',
        line: maySeePrivate(caller) ? line.text : null,
        assumptions: [...line.assumptions],
      };
    }
    const recording = await store.recording(source.recording);
    const burst = await store.burst(source.recording, source.burst);
    if (recording === null || burst === null) throw new Error(`frame ${frame.id} has lost its recording`);
    return {
      source: 'recording',
      recording: {
        id: recordingId(recording.id),
        sha256: recording.sha256,
        startedAt: isoTimeOrNull(recording.startedAt),
        startedAtSource: recording.startedAtSource,
        timeAccuracySeconds: recording.timeAccuracySeconds,
      },
      decoderVersion: recording.decoderVersion ?? DECODER_VERSION,
      startSeconds: decoded.startSeconds,
      endSeconds: decoded.endSeconds,
      burst: burstFacts(burst),
      slots: tapeSlots(
        burst.burst,
        owns(caller, recording) ? undefined : slotsUnder([decoded.characters.map(({ slot }) => slot)]),
      ),
      copies: await copiesOf(frame),
    };
  }
}

/** What whoever sent the line should know of how it was taken. */
function noticesOf({ decoded, receivedAt }: StoredFrame, assumptions: readonly string[]): Notice[] {
  const notices = assumptions.map((message) => ({ code: 'assumed', message }));
  for (const [field, { text }] of Object.entries(decoded.fields)) {
    if (text === '') notices.push({ code: 'field-unreadable', message: `${field} could not be read` });
  }
  if (receivedAt === null) {
    notices.push({ code: 'needs-time', message: 'nobody said when it was received: it stays out of the trends' });
  }
  return notices;
}

function cursorOf({ id, receivedAt }: StoredFrame): string {
  return receivedAt === null ? frameId(id) : `${frameId(id)}_${receivedAt}`;
}

function afterOf(cursor: string): NonNullable<FrameQuery['after']> {
  const match = /^(f\d{1,15})(?:_(-?\d{1,15}))?$/.exec(cursor);
  if (match !== null) {
    return { id: storedId(match[1]), receivedAt: match[2] === undefined ? null : Number(match[2]) };
  }
  throw new Refusal('request-malformed', `after must be what "next" said; ${cursor} was given`, {
    at: 'querystring/after',
  });
}
