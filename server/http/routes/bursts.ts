import { needCutOut } from '../../intake/cut-outs.ts';
import type { Services } from '../../services.ts';
import { acceptUpload } from '../accept-upload.ts';
import type { App } from '../app-types.ts';
import { CutOutFields, CutOutReading, Problem, RecordingAccepted } from '../messages.ts';
import { recordingRate } from '../rate-limits.ts';
import { receiveUpload } from '../upload.ts';
import { formReader, jsonReader } from '../validation.ts';
import { needMayUpload } from './recordings.ts';

const readFields = formReader(CutOutFields);
const readReading = jsonReader(CutOutReading);

/** Bursts that a station cut out of its recordings: each cut-out is a recording, read here like any other. */
export function burstRoutes(app: App, services: Services, changed: () => void): void {
  const { files, limits } = services;

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
        const { startedAtSource, ...said } = readFields(rest);
        const cutOut = readReading(reading);
        needCutOut(file);
        const { isNew, answer } = await acceptUpload(services, caller, file, said, {
          ...(startedAtSource === undefined ? {} : { startedAtSource }),
          fileName,
          bandClaim: null,
          cutOut,
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
}
