// @vitest-environment node
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { RecordingReader } from '../../../../decoders/audio/open.ts';
import { renderFrame } from '../../../../decoders/frames/render.ts';
import { isPractice, practiceOf } from '../../../../decoders/mission/practice.ts';
import { parseMissionText } from '../../../../decoders/mission/read.ts';
import type { FrameLayout, Mission } from '../../../../decoders/mission/types.ts';
import { createRecordingDecoder } from '../../../../decoders/recording.ts';
import { keyingOf } from '../../../../decoders/simulate/beacon-keying.ts';
import { Random } from '../../../../decoders/simulate/random.ts';
import { randomValues } from '../../../../decoders/simulate/random-values.ts';
import { simulateRecording } from '../../../../decoders/simulate/recording.ts';
import { afterEvent, type Hearing } from '../../../../web/pages/listen/hearings.ts';
import { Listening, type ListeningNote } from '../../../../web/pages/listen/listening.ts';

const SAMPLES = join(process.cwd(), 'samples');
const START_MS = Date.UTC(2031, 2, 1, 10, 0, 0);
const BLOCK = 1024;

function mission(): Mission {
  const { mission: read } = parseMissionText(readFileSync(join(SAMPLES, 'dunlin-1.json'), 'utf8'));
  if (read === null) throw new Error('the sample mission is faulty');
  return read;
}

function layoutOf({ frames }: Mission, id: string): FrameLayout['layout'] {
  const found = frames.find((frame) => frame.id === id);
  if (found === undefined) throw new Error(`no frame ${id}`);
  return found.layout;
}

function samplesIn(wav: Iterable<Uint8Array>): Sound {
  const reader = new RecordingReader();
  const parts: number[] = [];
  const take: Parameters<typeof reader.push>[1] = ({ channels, frames }) => {
    for (const sample of channels[0].subarray(0, frames)) parts.push(sample);
  };
  for (const piece of wav) reader.push(piece, take);
  reader.end(take);
  return { samples: Float32Array.from(parts), sampleRateHz: reader.info?.sampleRateHz ?? 0 };
}

interface Sound {
  readonly samples: Float32Array;
  readonly sampleRateHz: number;
}

/** Plays sound to a listener, with an interruption before the given second. */
function play(
  { samples, sampleRateHz }: Sound,
  keepAll: boolean,
  gap: { atSeconds: number; ms: number } | null = null,
): ListeningNote[] {
  const notes: ListeningNote[] = [];
  const listening = new Listening({ sampleRateHz, missions: [mission()], keepAll }, (note) => notes.push(note));
  for (let at = 0; at < samples.length; at += BLOCK) {
    const block = samples.slice(at, at + BLOCK);
    const seconds = (at + block.length) / sampleRateHz;
    const lost = gap !== null && seconds > gap.atSeconds ? gap.ms : 0;
    listening.take(block, START_MS + 1000 * seconds + lost);
  }
  listening.end();
  return notes;
}

const sampleSound = (name: string): Sound => samplesIn([readFileSync(join(SAMPLES, name))]);

function framesIn(wav: Uint8Array): { texts: string[]; startedAt: string | null } {
  const decoder = createRecordingDecoder({ missions: [mission()] });
  const texts: string[] = [];
  const take: Parameters<typeof decoder.push>[1] = (event) => {
    if (event.type === 'burst') texts.push(...event.frames.map(({ frame }) => frame.text));
  };
  decoder.push(wav, take);
  const { info } = decoder.end(take);
  return { texts, startedAt: info.startedAt?.iso ?? null };
}

const audioOf = (notes: readonly ListeningNote[]) =>
  notes.flatMap((note) => (note.type === 'audio' ? [note.audio] : []));

const { expected } = JSON.parse(readFileSync(join(SAMPLES, 'dunlin-three.expected.json'), 'utf8'));
const texts: string[] = expected.frames.map(({ text }: { text: string }) => text);

const notesOfFlight = play(sampleSound('dunlin-three.wav'), false);

describe('listening', () => {
  it('keeps each burst as a recording of its own, in which its frame is found again', () => {
    const audio = audioOf(notesOfFlight);
    expect(audio.map(({ wav }) => framesIn(wav).texts)).toEqual(texts.map((text) => [text]));
    for (const { wav, startMs, seconds } of audio) {
      expect(Math.abs(Date.parse(framesIn(wav).startedAt ?? '') - startMs)).toBeLessThan(2);
      expect(seconds).toBeLessThan(20);
    }
  });

  it('shows every burst once, settled, when all has been told', () => {
    let hearings: readonly Hearing[] = [];
    let mostOpen = 0;
    for (const note of notesOfFlight) {
      if (note.type !== 'heard') continue;
      hearings = afterEvent(hearings, note.stream, note.startMs, note.event);
      mostOpen = Math.max(mostOpen, hearings.filter(({ provisional }) => provisional).length);
    }
    expect(mostOpen).toBeGreaterThan(0);
    expect(hearings.map(({ provisional, frames }) => [provisional, frames[0]?.frame.text])).toEqual(
      texts.map((text) => [false, text]),
    );
  });

  it('tells an interruption with its times, and goes on after it', () => {
    const cut = play(sampleSound('dunlin-three.wav'), false, { atSeconds: 16, ms: 5000 });
    const gaps = cut.flatMap((note) => (note.type === 'gap' ? [note] : []));
    expect(gaps).toHaveLength(1);
    expect((gaps[0].toMs - gaps[0].fromMs) / 1000).toBeCloseTo(5, 1);
    expect(gaps[0].fromMs - START_MS).toBeGreaterThan(15_000);
    const audio = audioOf(cut);
    expect(audio.map(({ wav }) => framesIn(wav).texts)).toEqual(texts.map((text) => [text]));
    // what came after is dated after the gap
    expect(audio[1].startMs - audioOf(notesOfFlight)[1].startMs).toBeGreaterThan(4000);
  });

  it('keeps all there was when that is wanted, once', () => {
    const audio = audioOf(play(sampleSound('dunlin-three.wav'), true));
    const { samples, sampleRateHz } = sampleSound('dunlin-three.wav');
    expect(audio.reduce((sum, { seconds }) => sum + seconds, 0)).toBeCloseTo(samples.length / sampleRateHz, 2);
  });
});

describe('listening to practice', () => {
  const flown = mission();
  const practice = practiceOf(flown);
  if (practice === null) throw new Error('the sample mission cannot be practised');
  const text = renderFrame(practice, 'power', randomValues(layoutOf(practice, 'power'), new Random(5)));
  const keying = keyingOf(practice.beacon, {});
  const sound = samplesIn(simulateRecording({ texts: [text], keying, sampleRateHz: 8000, marginSeconds: 4 }).wav());

  it('shows its frame, which is told from one in flight by its call sign', () => {
    const hearings = play(sound, false)
      .filter((note) => note.type === 'heard')
      .reduce<readonly Hearing[]>((all, note) => afterEvent(all, note.stream, note.startMs, note.event), []);
    const frames = hearings.flatMap((hearing) => hearing.frames);
    expect(frames.map(({ mission: id, frame }) => [id, frame.frame, frame.text])).toEqual([
      ['dunlin-1', 'power', text],
    ]);
    expect(frames[0].frame.trust).toBe('confirmed');
    expect(isPractice(frames[0].frame.text)).toBe(true);
  });

  it.each([false, true])('marks what is kept of it as practice, where all is kept: %s', (keepAll) => {
    const kept = audioOf(play(sound, keepAll));
    expect(kept.map((audio) => audio.practice)).toEqual([true]);
  });

  it('marks nothing else', () => {
    expect(audioOf(notesOfFlight).map((audio) => audio.practice)).toEqual(texts.map(() => false));
  });
});
