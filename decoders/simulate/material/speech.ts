import { Random } from '../random.ts';
import type { MaterialOptions, Source } from '../source.ts';
import { eventSource } from '../source.ts';
import { type Formants, LANGUAGES, type Language } from './languages.ts';
import type { Articulation } from './vocal-tract.ts';
import { SILENT, VocalTract } from './vocal-tract.ts';

/** A sound of speech on its way to the tract. */
interface Segment {
  readonly seconds: number;
  readonly mouth: Articulation;
  /** Pitch over the voice's own. */
  readonly pitch: number;
}

const NASALS: readonly Formants[] = [
  [250, 1000, 2200],
  [250, 1500, 2500],
  [250, 2000, 2700],
];
const GLIDES: readonly Formants[] = [
  [300, 800, 2200],
  [350, 1200, 1600],
  [360, 1300, 2600],
  [280, 2100, 2900],
];
/** Centres of the noise of hissed and burst sounds, Hz. */
const NOISES_HZ = [1400, 1900, 2500, 3300, 4500, 6000];

interface Voice {
  readonly language: Language;
  readonly pitchHz: number;
  /** Formants over those of the table: shorter tracts sound higher. */
  readonly size: number;
  /** Syllables a second. */
  readonly pace: number;
  /** How lively the pitch moves. */
  readonly melody: number;
}

export interface SpeechOptions extends MaterialOptions {
  /** What is spoken; drawn from the seed when not given. */
  readonly language?: Language;
}

/**
 * Talk as on a voice channel: one voice says some phrases, another answers. Phrases of 3 to 14 syllables, read as fast as
 * the language is or down to half of that, pitch falling over the phrase with accents on it (75 to 330 Hz: men, women,
 * children), pauses between. Nothing is said: syllables are drawn at random, consonants and vowels as they are common in
 * the language.
 */
export function speech(options: SpeechOptions): Source {
  const { sampleRateHz, seed, gain = 1 } = options;
  const random = new Random(seed).branch('speech');
  const tract = new VocalTract(sampleRateHz, new Random(seed).branch('vocal tract'));
  const limit = 0.5 * gain;
  const language = options.language ?? random.pick(LANGUAGES);
  let voice = newVoice(language, random);
  let phrasesLeft = 0;
  let segments: Segment[] = [];
  return eventSource(() => {
    if (segments.length === 0) {
      const between: Segment = { seconds: random.uniform(0.15, 0.9), mouth: SILENT, pitch: 1 };
      if (phrasesLeft-- > 0) {
        segments = [between, ...phrase(voice, random)].reverse();
      } else {
        voice = newVoice(language, random);
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

function newVoice(language: Language, random: Random): Voice {
  const pitchHz = 75 * (330 / 75) ** random.uniform();
  return {
    language,
    pitchHz,
    size: 0.95 + 0.2 * Math.log2(pitchHz / 100) + random.uniform(-0.06, 0.06),
    pace: language.syllablesPerSecond * random.uniform(0.5, 1),
    melody: random.uniform(0.05, 0.25),
  };
}

function phrase(voice: Voice, random: Random): Segment[] {
  const syllables = 3 + random.integer(12);
  const asks = random.uniform() < 0.15;
  const segments: Segment[] = [];
  for (let s = 0; s < syllables; s++) {
    const along = s / syllables;
    const isStressed = random.uniform() < voice.language.stressed;
    const accent = isStressed ? 1 + voice.melody : 1;
    const ending = s === syllables - 1 ? (asks ? 1.3 : 0.85) : 1;
    const pitch = (1.12 - 0.25 * along) * accent * ending;
    segments.push(...syllable(voice, pitch, isStressed, random));
  }
  return segments;
}

function syllable(voice: Voice, pitch: number, isStressed: boolean, random: Random): Segment[] {
  const { vowels, diphthongs, onset, coda, long, stressLength, tones } = voice.language;
  const length = ((isStressed ? stressLength : 1) * random.uniform(0.75, 1.15)) / voice.pace;
  const before = random.uniform() < onset ? consonants(voice, random) : [];
  const after = random.uniform() < coda ? consonants(voice, random) : [];
  const taken = [...before, ...after].reduce((sum, segment) => sum + segment.seconds, 0);
  const vowelSeconds = Math.max(0.05, length - taken) * (random.uniform() < long ? 2 : 1);
  const first = random.pick(vowels);
  const second = random.uniform() < diphthongs ? random.pick(vowels) : first;
  const strength = isStressed ? 1 : random.uniform(0.5, 0.8);
  const contour = tones.length > 0 ? random.pick(tones) : ([1, 1 - 0.3 * voice.melody] as const);
  const vowel = [first, second].map(
    (formants, half): Segment => ({
      seconds: vowelSeconds / 2,
      mouth: { ...SILENT, formantsHz: scaled(formants, voice), voicing: strength, breath: 0.1 },
      pitch: contour[half],
    }),
  );
  return [...before, ...vowel, ...after].map((segment) => ({ ...segment, pitch: segment.pitch * pitch }));
}

function consonants(voice: Voice, random: Random): Segment[] {
  const first = consonant(voice, random);
  return random.uniform() < voice.language.cluster ? [...first, ...consonant(voice, random)] : first;
}

function consonant(voice: Voice, random: Random): Segment[] {
  const { hissed, burst: stopped, nasal } = voice.language.consonants;
  const kind = random.uniform();
  const fricationHz = random.pick(NOISES_HZ);
  const voiced = random.uniform() < voice.language.voiced ? 0.35 : 0;
  if (kind < hissed) {
    const mouth = { ...SILENT, voicing: voiced, frication: random.uniform(0.3, 1), fricationHz };
    return [{ seconds: random.uniform(0.05, 0.12), mouth, pitch: 1 }];
  }
  if (kind < hissed + stopped) {
    const burst = { ...SILENT, frication: 1, breath: 0.6, fricationHz };
    return [
      { seconds: random.uniform(0.03, 0.08), mouth: { ...SILENT, voicing: voiced / 3 }, pitch: 1 },
      { seconds: 0.012, mouth: burst, pitch: 1 },
      { seconds: voiced > 0 ? 0.01 : random.uniform(0.02, 0.05), mouth: { ...burst, frication: 0.1 }, pitch: 1 },
    ];
  }
  const isNasal = kind < hissed + stopped + nasal;
  const formants = random.pick(isNasal ? NASALS : GLIDES);
  const mouth = { ...SILENT, formantsHz: scaled(formants, voice), voicing: isNasal ? 0.4 : 0.7 };
  return [{ seconds: random.uniform(0.04, 0.08), mouth, pitch: 1 }];
}

function scaled(formants: Formants, voice: Voice): [number, number, number] {
  return [formants[0] * voice.size, formants[1] * voice.size, formants[2] * voice.size];
}
