import { phoneContainer } from '../../../decoders/audio/phone-container.ts';
import type { RecordingStart } from '../../../decoders/audio/start-time.ts';
import { SENDER } from '../../../decoders/audio/start-time.ts';
import { sureSeconds } from '../../../decoders/audio/time-gaps.ts';
import { cutOutStart } from '../../../decoders/cut-outs/start.ts';
import type { CutOutFields, RecordingFields } from '../../../server/http/messages.ts';
import { getSettings } from '../../api/endpoints.ts';
import { definitions, loadDefinitions } from '../listen/definitions.ts';
import { soundByBrowser } from './browser-sound.ts';
import type { CutOutJob } from './cut-out-worker.ts';
import { type CutOutSource, cutOutsByWorker } from './cut-outs-by-worker.ts';
import { fileStart } from './file-start.ts';
import { type OnShare, readHere, send, sendCutOut } from './uploads.ts';

const HEAD_BYTES = 64;

/**
 * Hands a file over: whole, or, where the server cannot read it or its sender wants no more to be sent, as the bursts that this
 * browser finds in it.
 */
export async function hand(
  file: File,
  fields: RecordingFields,
  { burstsOnly }: { readonly burstsOnly: boolean },
): Promise<void> {
  const container = phoneContainer(new Uint8Array(await file.slice(0, HEAD_BYTES).arrayBuffer()));
  const isRead = container === null || (await serverReadsPhones());
  if (!burstsOnly && isRead) return send(file, fields);
  const source = async (): Promise<CutOutSource> =>
    container === null ? { file } : { sound: await soundByBrowser(file, container.name) };
  return readHere(file, (onShare) => cutAndSend(file, source, fields, onShare));
}

/** A server that does not answer is asked to read it, and refuses it or not. */
async function serverReadsPhones(): Promise<boolean> {
  return getSettings().then(
    ({ phoneRecordings }) => phoneRecordings,
    () => true,
  );
}

async function cutAndSend(
  file: File,
  source: () => Promise<CutOutSource>,
  fields: RecordingFields,
  onShare: OnShare,
): Promise<number> {
  const start = await startOf(file, fields);
  await loadDefinitions();
  const missions = (definitions.peek() ?? []).flatMap(({ mission }) =>
    fields.mission === 'any' || fields.mission === mission.id ? [mission] : [],
  );
  const { mission, station, phase, timeBase } = fields;
  const shared = { mission, station, ...(phase === undefined ? {} : { phase }) };
  const existedAt = new Date(file.lastModified).toISOString();
  let cutOuts = 0;
  const job = { source: await source(), missions, startedAt: start?.iso ?? null, band: bandOf(fields) };
  await cutOutsByWorker(job, onShare, ({ flac, reading, problems }) => {
    const seconds = reading.source.startSeconds;
    const sure = sureSeconds(timeBase, problems);
    const began = cutOutStart({ start, sureSeconds: sure, existedAt }, seconds);
    const name = `${file.name.replace(/\.[^.]*$/, '')} at ${Math.floor(seconds)} s.flac`;
    cutOuts++;
    void sendCutOut(new File([flac], name, { type: 'audio/flac' }), { ...shared, ...timeFields(began) }, reading);
  });
  return cutOuts;
}

/** What is said of a complex band, as decoders take it. */
function bandOf({ iq, centerHz, tuning, referenceErrorPpm }: RecordingFields): CutOutJob['band'] {
  const isTold = tuning !== undefined || referenceErrorPpm !== undefined;
  return {
    ...(iq ? { iq: { centerHz: centerHz ?? null } } : {}),
    ...(isTold ? { tuning: { mode: tuning ?? 'unknown', referenceErrorPpm: referenceErrorPpm ?? null } } : {}),
  };
}

async function startOf(
  file: File,
  { startedAt, timeAccuracySeconds }: RecordingFields,
): Promise<RecordingStart | null> {
  if (startedAt === undefined) return fileStart(file);
  return { iso: startedAt, source: SENDER, uncertaintySeconds: timeAccuracySeconds ?? null, zoneStated: true };
}

function timeFields(start: RecordingStart | null): Partial<CutOutFields> {
  if (start === null) return {};
  const { iso: startedAt, source: startedAtSource, uncertaintySeconds } = start;
  const accuracy = uncertaintySeconds === null ? {} : { timeAccuracySeconds: uncertaintySeconds };
  return { startedAt, startedAtSource, ...accuracy };
}
