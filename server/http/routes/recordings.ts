import { Type } from 'typebox';
import { SENDER } from '../../../decoders/audio/start-time.ts';
import type { Caller } from '../../access/caller.ts';
import { needOwner, owns } from '../../access/rules.ts';
import { normalCallSign } from '../../call-sign.ts';
import { bandClaimOf } from '../../intake/band-claim.ts';
import { datingBySender, startInstant } from '../../intake/dating.ts';
import { claimBand, deleteRecording, redateRecording } from '../../intake/recordings.ts';
import type { JobRunner } from '../../jobs/job-runner.ts';
import { Refusal } from '../../refusal.ts';
import type { Services } from '../../services.ts';
import type { StoredRecording } from '../../store/records.ts';
import { acceptUpload } from '../accept-upload.ts';
import type { App } from '../app-types.ts';
import { recordingId, storedId } from '../ids.ts';
import {
  Problem,
  Recording,
  RecordingAccepted,
  RecordingBursts,
  RecordingChange,
  RecordingFields,
  RecordingId,
  RecordingList,
  RecordingListQuery,
} from '../messages.ts';
import { recordingRate } from '../rate-limits.ts';
import { seenBursts } from '../seen-bursts.ts';
import { receiveUpload } from '../upload.ts';
import { formReader } from '../validation.ts';
import { recordingView } from '../views/recording-view.ts';
import { recordingBurst } from '../views/tape-view.ts';
import { hiddenMissions, visibleRecording } from '../visible.ts';

const Params = Type.Object({ id: RecordingId });
const NONE: ReadonlySet<string> = new Set();
const readFields = formReader(RecordingFields);

export function recordingRoutes(app: App, services: Services, jobs: JobRunner, changed: () => void): void {
  const { store, files, limits, clock } = services;

  const view = (recording: StoredRecording, caller: Caller, hidden: ReadonlySet<string>) => {
    const yours = owns(caller, recording);
    return recordingView(recording, jobs.progressOf(recording.id), yours, yours ? NONE : hidden);
  };

  app.post(
    '/api/recordings',
    {
      config: { rateLimit: recordingRate(limits) },
      schema: {
        summary: 'Hands over a recording, which is then decoded; the same bytes twice are one recording',
        consumes: ['multipart/form-data'],
        response: { 200: RecordingAccepted, 202: RecordingAccepted, '4xx': Problem, 507: Problem },
      },
    },
    async (request, reply) => {
      const { caller } = request;
      await needMayUpload(services, caller);
      const { file, fileName, fields } = await receiveUpload(request, files, limits);
      try {
        const said = readFields(fields);
        const { isNew, answer } = await acceptUpload(services, caller, file, said, {
          fileName,
          bandClaim: bandClaimOf(said),
        });
        changed();
        reply.code(isNew ? 202 : 200).header('location', `/api/recordings/${answer.id}`);
        return answer;
      } catch (error) {
        await files.discard(file);
        throw error;
      }
    },
  );

  app.get(
    '/api/recordings',
    {
      schema: {
        summary: 'The recordings, newest first',
        querystring: RecordingListQuery,
        response: { 200: RecordingList, '4xx': Problem },
      },
    },
    async ({ query, caller }) => {
      const limit = query.limit ?? 50;
      const hidden = await hiddenMissions(services, caller);
      const recordings = await store.recordings({
        // One more, to know whether more follow.
        limit: limit + 1,
        after: query.after === undefined ? null : afterOf(query.after),
        mission: query.mission === 'any' ? null : query.mission,
        station: query.station === undefined ? null : normalCallSign(query.station),
        sha256: query.sha256 ?? null,
        exceptMissions: [...hidden],
      });
      const page = recordings.slice(0, limit);
      const last = page.at(-1);
      return {
        recordings: page.map((recording) => view(recording, caller, hidden)),
        next: recordings.length > limit && last !== undefined ? recordingId(last.id) : null,
      };
    },
  );

  app.get(
    '/api/recordings/:id',
    { schema: { summary: 'A recording', params: Params, response: { 200: Recording, '4xx': Problem } } },
    async ({ params, caller }) =>
      view(await visibleRecording(services, caller, params.id), caller, await hiddenMissions(services, caller)),
  );

  app.get(
    '/api/recordings/:id/bursts',
    {
      schema: {
        summary: 'The bursts of a recording with their tape and frames',
        params: Params,
        response: { 200: RecordingBursts, '4xx': Problem },
      },
    },
    async ({ params, caller }) => {
      const recording = await visibleRecording(services, caller, params.id);
      const bursts = await seenBursts(services, caller, recording);
      return { recording: params.id, bursts: bursts.map(recordingBurst) };
    },
  );

  app.patch(
    '/api/recordings/:id',
    {
      schema: {
        summary:
          'Says when a recording began, so that its frames and readings are dated anew; how a receiver was tuned; that ' +
          'two channels are I and Q, or takes that back, which decodes it again',
        params: Params,
        body: RecordingChange,
        response: { 200: Recording, '4xx': Problem },
      },
    },
    async ({ params, body, caller }) => {
      const recording = await visibleRecording(services, caller, params.id);
      needOwner(caller, recording);
      // Another's accuracy says nothing of a time that the sender now states.
      const sameTime = body.startedAt === undefined || recording.startedAtSource === SENDER;
      const {
        startedAt,
        timeAccuracySeconds = sameTime ? recording.timeAccuracySeconds : null,
        timeBase = recording.timeBase,
      } = body;
      const dating =
        startedAt === undefined
          ? {
              startedAt: recording.startedAt,
              startedAtSource: recording.startedAtSource,
              timeAccuracySeconds,
              timeBase,
            }
          : datingBySender({
              startedAt: startedAt === null ? null : startInstant(startedAt, 'body/startedAt', clock()),
              timeAccuracySeconds,
              timeBase,
            });
      const bandClaim = bandClaimOf(body, recording.bandClaim);
      if (bandClaim !== null && bandClaim !== recording.bandClaim) {
        await claimBand(services, recording, bandClaim);
      }
      if (saysTime(body)) await redateRecording(services, recording, dating);
      changed();
      return view(await visibleRecording(services, caller, params.id), caller, NONE);
    },
  );

  app.delete(
    '/api/recordings/:id',
    {
      schema: {
        summary: 'Removes a recording and all that was read from it',
        params: Params,
        response: { 204: Type.Null(), '4xx': Problem },
      },
    },
    async ({ params, caller }, reply) => {
      const recording = await visibleRecording(services, caller, params.id);
      needOwner(caller, recording);
      jobs.cancel(recording.id);
      await deleteRecording(services, recording);
      changed();
      return reply.code(204).send(null);
    },
  );
}

function saysTime({ startedAt, timeAccuracySeconds, timeBase }: RecordingChange): boolean {
  return [startedAt, timeAccuracySeconds, timeBase].some((each) => each !== undefined);
}

/** Refuses those without a key when the team wants it so. */
export async function needMayUpload({ store }: Services, caller: Caller): Promise<void> {
  if (caller.kind === 'station' || caller.kind === 'team') return;
  const { unvouchedUploads } = await store.settings();
  if (!unvouchedUploads)
    throw new Refusal('key-needed', 'this server takes nothing without a key: ask the team for one');
}

function afterOf(cursor: string): number {
  const id = /^r\d{1,15}$/.test(cursor) ? storedId(cursor) : null;
  if (id !== null) return id;
  throw new Refusal('request-malformed', `after must be what "next" said; ${cursor} was given`, {
    at: 'querystring/after',
  });
}
