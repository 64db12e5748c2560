// @vitest-environment node
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { RecordingReader } from '../../../../decoders/audio/open.ts';
import { parseMissionText } from '../../../../decoders/mission/read.ts';
import type { Mission } from '../../../../decoders/mission/types.ts';
import { createRecordingDecoder } from '../../../../decoders/recording.ts';
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

function samplesOf(name: string): { samples: Float32Array; sampleRateHz: number } {
  const reader = new RecordingReader();
  const parts: number[] = [];
  const take: Parameters<typeof reader.push>[1] = ({ channels, frames }) => {
    for (const sample of channels[0].subarray(0, frames)) parts.push(sample);
  };
  reader.push(readFileSync(join(SAMPLES, name)), take);
  reader.end(take);
  return { samples: Float32Array.from(parts), sampleRateHz: reader.info?.sampleRateHz ?? 0 };
}

/** Plays a recording to a listener, with an interruption before the given second. */
function play(name: string, keepAll: boolean, gap: { atSeconds: number; ms: number } | null = null): ListeningNote[] {
  const { samples, sampleRateHz } = samplesOf(name);
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

describe('listening', () => {
  const notes = play('dunlin-three.wav', false);

  it('keeps each burst as a recording of its own, in which its frame is found again', () => {
    const audio = audioOf(notes);
    expect(audio.map(({ wav }) => framesIn(wav).texts)).toEqual(texts.map((text) => [text]));
    for (const { wav, startMs, seconds } of audio) {
      expect(Math.abs(Date.parse(framesIn(wav).startedAt ?? '') - startMs)).toBeLessThan(2);
      expect(seconds).toBeLessThan(20);
    }
  });

  it('shows every burst once, settled, when all has been told', () => {
    let hearings: readonly Hearing[] = [];
    let mostOpen = 0;
    for (const note of notes) {
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
    const cut = play('dunlin-three.wav', false, { atSeconds: 16, ms: 5000 });
    const gaps = cut.flatMap((note) => (note.type === 'gap' ? [note] : []));
    expect(gaps).toHaveLength(1);
    expect((gaps[0].toMs - gaps[0].fromMs) / 1000).toBeCloseTo(5, 1);
    expect(gaps[0].fromMs - START_MS).toBeGreaterThan(15_000);
    const audio = audioOf(cut);
    expect(audio.map(({ wav }) => framesIn(wav).texts)).toEqual(texts.map((text) => [text]));
    // what came after is dated after the gap
    expect(audio[1].startMs - audioOf(notes)[1].startMs).toBeGreaterThan(4000);
  });

  it('keeps all there was when that is wanted, once', () => {
    const audio = audioOf(play('dunlin-three.wav', true));
    const { samples, sampleRateHz } = samplesOf('dunlin-three.wav');
    expect(audio.reduce((sum, { seconds }) => sum + seconds, 0)).toBeCloseTo(samples.length / sampleRateHz, 2);
  });
});
