import { Random } from '../random.ts';
import type { MaterialOptions, Source } from '../source.ts';
import { eventSource } from '../source.ts';
import type { Articulation } from './vocal-tract.ts';
import { SILENT, VocalTract } from './vocal-tract.ts';

/** A sound of speech on its way to the tract. */
interface Segment {
  readonly seconds: number;
  readonly mouth: Articulation;
  /** Pitch over the voice's own. */
  readonly pitch: number;
}

/** Average formants of ten vowels of men, Hz: Peterson and Barney, J. Acoust. Soc. Am. 24 (1952). */
const VOWELS: readonly (readonly [number, number, number])[] = [
  [270, 2290, 3010],
  [390, 1990, 2550],
  [530, 1840, 2480],
  [660, 1720, 2410],
  [730, 1090, 2440],
  [570, 840, 2410],
  [440, 1020, 2240],
  [300, 870, 2240],
  [640, 1190, 2390],
  [490, 1350, 1690],
];
const NASALS: readonly (readonly [number, number, number])[] = [
  [250, 1000, 2200],
  [250, 1500, 2500],
  [250, 2000, 2700],
];
const GLIDES: readonly (readonly [number, number, number])[] = [
  [300, 800, 2200],
  [350, 1200, 1600],
  [360, 1300, 2600],
  [280, 2100, 2900],
];
/** Centres of the noise of hissed and burst sounds, Hz. */
const NOISES_HZ = [1400, 1900, 2500, 3300, 4500, 6000];

interface Voice {
  readonly pitchHz: number;
  /** Formants over those of the table: shorter tracts sound higher. */
  readonly size: number;
  /** Syllables a second. */
  readonly pace: number;
  /** How lively the pitch moves. */
  readonly melody: number;
}

/**
 * Talk as on a voice channel: one voice says some phrases, another answers. Phrases of 3 to 14 syllables at 3 to 6
 * syllables a second, pitch falling over the phrase with accents on it (85 to 260 Hz), pauses between. Nothing is said:
 * syllables are drawn at random, consonants and vowels as they are common in speech.
 */
export function speech(options: MaterialOptions): Source {
  const { sampleRateHz, seed, gain = 1 } = options;
  const random = new Random(seed).branch('speech');
  const tract = new VocalTract(sampleRateHz, new Random(seed).branch('vocal tract'));
  const limit = 0.5 * gain;
  let voice = newVoice(random);
  let phrasesLeft = 0;
  let segments: Segment[] = [];
  return eventSource(() => {
    if (segments.length === 0) {
      const between: Segment = { seconds: random.uniform(0.15, 0.9), mouth: SILENT, pitch: 1 };
      if (phrasesLeft-- > 0) {
        segments = [between, ...phrase(voice, random)].reverse();
      } else {
        voice = newVoice(random);
        phrasesLeft = 2 + random.integer(7);
        segments = [{ ...between, seconds: random.uniform(0.5, 3) }];
      }
    }
    const { seconds, mouth, pitch } = segments.pop() ?? { seconds: 0.1, mouth: SILENT, pitch: 1 };
    return {
      samples: Math.max(1, Math.round(seconds * sampleRateHz)),
      addTo: (piece, at, from, to) => {
        if (from === 0) tract.aim(mouth, voice.pitchHz * pitch);
        tract.addTo(piece, at, to - from, limit);
      },
    };
  });
}

function newVoice(random: Random): Voice {
  const pitchHz = 85 * (260 / 85) ** random.uniform();
  return {
    pitchHz,
    size: 0.95 + 0.2 * Math.log2(pitchHz / 100) + random.uniform(-0.05, 0.05),
    pace: random.uniform(3, 6),
    melody: random.uniform(0.05, 0.25),
  };
}

function phrase(voice: Voice, random: Random): Segment[] {
  const syllables = 3 + random.integer(12);
  const asks = random.uniform() < 0.15;
  const segments: Segment[] = [];
  for (let s = 0; s < syllables; s++) {
    const along = s / syllables;
    const accent = random.uniform() < 0.35 ? 1 + voice.melody : 1;
    const ending = s === syllables - 1 ? (asks ? 1.3 : 0.85) : 1;
    const pitch = (1.12 - 0.25 * along) * accent * ending;
    segments.push(...syllable(voice, pitch, accent > 1, random));
  }
  return segments;
}

function syllable(voice: Voice, pitch: number, stressed: boolean, random: Random): Segment[] {
  const length = ((stressed ? 1.25 : 0.95) * random.uniform(0.8, 1.2)) / voice.pace;
  const onset = random.uniform() < 0.85 ? consonant(voice, random) : [];
  const coda = random.uniform() < 0.4 ? consonant(voice, random) : [];
  const taken = [...onset, ...coda].reduce((sum, segment) => sum + segment.seconds, 0);
  const vowelSeconds = Math.max(0.05, length - taken);
  const first = random.pick(VOWELS);
  const second = random.uniform() < 0.3 ? random.pick(VOWELS) : first;
  const strength = stressed ? 1 : random.uniform(0.5, 0.8);
  const vowel = [first, second].map(
    (formants, half): Segment => ({
      seconds: vowelSeconds / 2,
      mouth: { ...SILENT, formantsHz: scaled(formants, voice), voicing: strength, breath: 0.1 },
      pitch: half === 0 ? 1 : 1 - 0.3 * voice.melody,
    }),
  );
  return [...onset, ...vowel, ...coda].map((segment) => ({ ...segment, pitch: segment.pitch * pitch }));
}

function consonant(voice: Voice, random: Random): Segment[] {
  const kind = random.uniform();
  const fricationHz = random.pick(NOISES_HZ);
  const voiced = random.uniform() < 0.4 ? 0.35 : 0;
  if (kind < 0.3) {
    const mouth = { ...SILENT, voicing: voiced, frication: random.uniform(0.3, 1), fricationHz };
    return [{ seconds: random.uniform(0.05, 0.12), mouth, pitch: 1 }];
  }
  if (kind < 0.65) {
    const burst = { ...SILENT, frication: 1, breath: 0.6, fricationHz };
    return [
      { seconds: random.uniform(0.03, 0.08), mouth: { ...SILENT, voicing: voiced / 3 }, pitch: 1 },
      { seconds: 0.012, mouth: burst, pitch: 1 },
      { seconds: voiced > 0 ? 0.01 : random.uniform(0.02, 0.05), mouth: { ...burst, frication: 0.1 }, pitch: 1 },
    ];
  }
  const formants = random.pick(kind < 0.85 ? NASALS : GLIDES);
  const mouth = { ...SILENT, formantsHz: scaled(formants, voice), voicing: kind < 0.85 ? 0.4 : 0.7 };
  return [{ seconds: random.uniform(0.04, 0.08), mouth, pitch: 1 }];
}

function scaled(formants: readonly [number, number, number], voice: Voice): [number, number, number] {
  return [formants[0] * voice.size, formants[1] * voice.size, formants[2] * voice.size];
}
