import { vouchesFor } from '../../access/rules.ts';
import { normalCallSign } from '../../call-sign.ts';
import { needCutOut } from '../../intake/cut-outs.ts';
import { startInstant } from '../../intake/dating.ts';
import { acceptRecording } from '../../intake/recordings.ts';
import type { Services } from '../../services.ts';
import type { App } from '../app-types.ts';
import { recordingId } from '../ids.ts';
import { CutOutFields, CutOutReading, Problem, RecordingAccepted } from '../messages.ts';
import { recordingRate } from '../rate-limits.ts';
import { receiveUpload } from '../upload.ts';
import { formReader, jsonReader } from '../validation.ts';
import { visibleMission } from '../visible.ts';
import { needMayUpload } from './recordings.ts';

const readFields = formReader(CutOutFields);
const readReading = jsonReader(CutOutReading);

/** Bursts that a station cut out of its recordings: each cut-out is a recording, read here like any other. */
export function burstRoutes(app: App, services: Services, changed: () => void): void {
  const { files, limits, clock } = services;

  app.post(
    '/api/bursts',
    {
      config: { rateLimit: recordingRate(limits) },
      schema: {
        summary: 'Hands over bursts cut out of a recording; they are read here again, and only that counts',
        consumes: ['multipart/form-data'],
        response: { 200: RecordingAccepted, 202: RecordingAccepted, '4xx': Problem, 507: Problem },
      },
    },
    async (request, reply) => {
      const { caller } = request;
      await needMayUpload(services, caller);
      const { file, fileName, fields } = await receiveUpload(request, files, limits, {
        fileBytes: limits.cutOutBytes,
        longField: { name: 'reading', characters: limits.bodyBytes },
      });
      try {
        const { reading = '', ...rest } = fields;
        const { mission, station: given, startedAt, startedAtSource, ...claims } = readFields(rest);
        const cutOut = readReading(reading);
        if (mission !== 'any') await visibleMission(services, caller, mission);
        const station = normalCallSign(given);
        needCutOut(file);
        const { recording, senderKey } = await acceptRecording(services, file, {
          mission: mission === 'any' ? null : mission,
          station,
          vouched: vouchesFor(caller, station),
          phase: claims.phase ?? 'flight',
          startedAt: startedAt === undefined ? null : startInstant(startedAt, 'body/startedAt', clock()),
          ...(startedAtSource === undefined ? {} : { startedAtSource }),
          timeAccuracySeconds: claims.timeAccuracySeconds ?? null,
          timeBase: claims.timeBase ?? null,
          fileName,
          bandClaim: null,
          cutOut,
        });
        changed();
        reply.code(senderKey === null ? 200 : 202).header('location', `/api/recordings/${recordingId(recording.id)}`);
        const { sha256, status } = recording;
        return { id: recordingId(recording.id), sha256, status, ...(senderKey === null ? {} : { senderKey }) };
      } catch (error) {
        await files.discard(file);
        throw error;
      }
    },
  );
}
