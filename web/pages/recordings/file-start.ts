import type { RecordingStart } from '../../../decoders/audio/start-time.ts';

/** Where containers say when they began, unless they say it at their end: then the server finds it. */
const HEAD_BYTES = 256 * 1024;

/** What a file says of when it began, in its first bytes or its name; null when it does not say it there. */
export async function fileStart(file: File): Promise<RecordingStart | null> {
  const { chooseStart, prepareAudio, RecordingReader, startFromContainer, startFromFileName } = await import(
    '../../../decoders/audio/index.ts'
  );
  const head = new Uint8Array(await file.slice(0, HEAD_BYTES).arrayBuffer());
  const container = await containerStart();
  const { start } = chooseStart(
    { declared: null, container, fileName: startFromFileName(file.name) },
    { seconds: 0, existedAt: new Date().toISOString(), notBefore: null },
  );
  return start;

  async function containerStart(): Promise<RecordingStart | null> {
    try {
      const reader = new RecordingReader({ codecs: await prepareAudio(head) });
      reader.push(head, () => {});
      return reader.info === null ? null : startFromContainer(reader.info);
    } catch {
      // what cannot be read here may be read by the server, which says what is wrong
      return null;
    }
  }
}
