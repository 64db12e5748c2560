import workletUrl from './capture-worklet.ts?worker&url';

/** Why listening cannot begin, in words for the page. */
export class CaptureProblem extends Error {
  readonly code: string;

  constructor(code: string, message: string) {
    super(message);
    this.name = 'CaptureProblem';
    this.code = code;
  }
}

export interface Capture {
  readonly sampleRateHz: number;
  /** What the browser says it listens to. */
  readonly label: string;
  /** What changes the sound and could not be switched off. */
  readonly keptOn: readonly string[];
  close(): Promise<void>;
}

export interface CaptureHandlers {
  /** The system took the input away, for a call as a rule, or gave it back. */
  readonly onInterrupted: (interrupted: boolean) => void;
  /** The input is gone for good. */
  readonly onEnded: () => void;
}

const PROCESSING = [
  ['echoCancellation', 'echo cancellation'],
  ['noiseSuppression', 'noise suppression'],
  ['autoGainControl', 'automatic gain'],
] as const;

/** Whether this address may use a microphone at all: browsers allow it on the computer itself and over HTTPS. */
export const mayCapture = (): boolean => window.isSecureContext && navigator.mediaDevices !== undefined;

export async function listInputs(): Promise<MediaDeviceInfo[]> {
  if (!mayCapture()) return [];
  const devices = await navigator.mediaDevices.enumerateDevices();
  return devices.filter(({ kind, deviceId }) => kind === 'audioinput' && deviceId !== '');
}

/**
 * Opens an input and leads its samples to a port. Call it from a click: browsers start sound only then.
 * @param deviceId null for the one that the device prefers
 */
export async function openCapture(deviceId: string | null, out: MessagePort, on: CaptureHandlers): Promise<Capture> {
  if (!mayCapture()) throw new CaptureProblem('insecure-context', 'This address may not use a microphone.');
  const context = new AudioContext({ latencyHint: 'interactive' });
  let stream: MediaStream | null = null;
  const stop = async (): Promise<void> => {
    for (const each of stream?.getTracks() ?? []) each.stop();
    await context.close();
  };
  try {
    stream = await ask(deviceId);
    const [track] = stream.getAudioTracks();
    if (track === undefined) throw new CaptureProblem('no-input', 'The input gives no sound.');
    await context.audioWorklet.addModule(workletUrl);
    const node = new AudioWorkletNode(context, 'capture', {
      numberOfOutputs: 0,
      channelCount: 1,
      channelCountMode: 'explicit',
    });
    node.port.postMessage('samples go here', [out]);
    context.createMediaStreamSource(stream).connect(node);
    await context.resume();
    track.onmute = () => on.onInterrupted(true);
    track.onunmute = () => on.onInterrupted(false);
    track.onended = on.onEnded;
    context.onstatechange = () => {
      if (context.state === 'closed') return;
      on.onInterrupted(context.state !== 'running');
    };
    const settings = track.getSettings();
    return {
      sampleRateHz: context.sampleRate,
      label: track.label,
      keptOn: PROCESSING.filter(([name]) => settings[name] === true).map(([, words]) => words),
      async close() {
        context.onstatechange = null;
        track.onended = null;
        await stop();
      },
    };
  } catch (error) {
    await stop();
    throw explain(error);
  }
}

/** Without anything that is made for voices and would spoil tones. */
function ask(deviceId: string | null): Promise<MediaStream> {
  return navigator.mediaDevices.getUserMedia({
    audio: {
      ...(deviceId === null ? {} : { deviceId: { exact: deviceId } }),
      echoCancellation: false,
      noiseSuppression: false,
      autoGainControl: false,
    },
  });
}

function explain(error: unknown): unknown {
  if (!(error instanceof DOMException)) return error;
  switch (error.name) {
    case 'NotAllowedError':
      return new CaptureProblem(
        'not-allowed',
        'The browser was not allowed to listen. Allow the microphone for this address in its settings, then begin again.',
      );
    case 'NotFoundError':
    case 'OverconstrainedError':
      return new CaptureProblem('no-input', 'There is no such input. Plug it in, or choose another.');
    case 'NotReadableError':
      return new CaptureProblem('input-busy', 'Another program holds the input. Close it there, then begin again.');
    default:
      return error;
  }
}
