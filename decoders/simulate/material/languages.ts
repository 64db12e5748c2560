/** First three resonances of the mouth, Hz. */
export type Formants = readonly [number, number, number];

/** What speech of a language is made of: enough to give its sounds their colour and its syllables their rhythm. */
export interface Language {
  readonly name: string;
  /** As a man speaks them. */
  readonly vowels: readonly Formants[];
  /** Share of syllables that glide from one vowel to another. */
  readonly diphthongs: number;
  /** Shares of consonants: hissed, burst, nasal; the rest glides. */
  readonly consonants: { readonly hissed: number; readonly burst: number; readonly nasal: number };
  /** Share of hissed and burst sounds that are voiced. */
  readonly voiced: number;
  /** Probabilities that a syllable begins with a consonant, ends with one, and that a further one follows. */
  readonly onset: number;
  readonly coda: number;
  readonly cluster: number;
  /** Mean of readers. */
  readonly syllablesPerSecond: number;
  /** Share of syllables that are stressed, and how much longer than others these are. */
  readonly stressed: number;
  readonly stressLength: number;
  /** Share of syllables with a vowel of double length. */
  readonly long: number;
  /** Pitch at the start and end of a syllable over the voice's own; none where pitch tells no words apart. */
  readonly tones: readonly (readonly [start: number, end: number])[];
}

/** Average formants of ten English vowels of men: Peterson and Barney, J. Acoust. Soc. Am. 24 (1952). */
const TEN_VOWELS: readonly Formants[] = [
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
/** The commonest set of vowels; values typical of men (common practice in synthesis). */
const FIVE_VOWELS: readonly Formants[] = [
  [290, 2200, 2900],
  [450, 1850, 2550],
  [700, 1350, 2500],
  [460, 1000, 2500],
  [310, 850, 2400],
];
const ROUNDED_FRONT: readonly Formants[] = [
  [270, 1750, 2150],
  [400, 1500, 2200],
];
const CENTRAL: Formants = [450, 1200, 2450];

/**
 * Syllable rates: Pellegrino, Coupé and Marsico, Language 87 (2011) 539, for English, Spanish, Japanese, Mandarin,
 * French and German; the others, and all shares, are round values that keep the languages apart (from memory).
 */
export const LANGUAGES: readonly Language[] = [
  {
    name: 'English',
    vowels: TEN_VOWELS,
    diphthongs: 0.3,
    consonants: { hissed: 0.3, burst: 0.35, nasal: 0.2 },
    voiced: 0.4,
    onset: 0.85,
    coda: 0.4,
    cluster: 0.1,
    syllablesPerSecond: 6.2,
    stressed: 0.35,
    stressLength: 1.35,
    long: 0.1,
    tones: [],
  },
  {
    name: 'Spanish',
    vowels: FIVE_VOWELS,
    diphthongs: 0.12,
    consonants: { hissed: 0.25, burst: 0.35, nasal: 0.15 },
    voiced: 0.5,
    onset: 0.9,
    coda: 0.25,
    cluster: 0.05,
    syllablesPerSecond: 7.8,
    stressed: 0.35,
    stressLength: 1.1,
    long: 0,
    tones: [],
  },
  {
    name: 'Japanese',
    vowels: FIVE_VOWELS,
    diphthongs: 0.05,
    consonants: { hissed: 0.25, burst: 0.4, nasal: 0.2 },
    voiced: 0.35,
    onset: 0.9,
    coda: 0.1,
    cluster: 0,
    syllablesPerSecond: 7.8,
    stressed: 0.3,
    stressLength: 1,
    long: 0.15,
    tones: [
      [1.15, 1.12],
      [0.95, 0.92],
    ],
  },
  {
    name: 'Mandarin',
    vowels: [...FIVE_VOWELS, ROUNDED_FRONT[0], CENTRAL],
    diphthongs: 0.45,
    consonants: { hissed: 0.45, burst: 0.3, nasal: 0.1 },
    voiced: 0.15,
    onset: 0.95,
    coda: 0.3,
    cluster: 0,
    syllablesPerSecond: 5.2,
    stressed: 0.8,
    stressLength: 1.15,
    long: 0,
    tones: [
      [1.3, 1.3],
      [1, 1.3],
      [0.95, 0.8],
      [1.35, 0.8],
    ],
  },
  {
    name: 'French',
    vowels: [...FIVE_VOWELS, ...ROUNDED_FRONT, TEN_VOWELS[2], CENTRAL],
    diphthongs: 0.08,
    consonants: { hissed: 0.35, burst: 0.3, nasal: 0.15 },
    voiced: 0.5,
    onset: 0.9,
    coda: 0.2,
    cluster: 0.1,
    syllablesPerSecond: 7.2,
    stressed: 0.2,
    stressLength: 1.2,
    long: 0,
    tones: [],
  },
  {
    name: 'German',
    vowels: [...TEN_VOWELS.slice(0, 8), ...ROUNDED_FRONT, CENTRAL],
    diphthongs: 0.15,
    consonants: { hissed: 0.4, burst: 0.3, nasal: 0.2 },
    voiced: 0.35,
    onset: 0.85,
    coda: 0.55,
    cluster: 0.2,
    syllablesPerSecond: 6,
    stressed: 0.35,
    stressLength: 1.35,
    long: 0.25,
    tones: [],
  },
  {
    name: 'Arabic',
    vowels: [FIVE_VOWELS[0], [650, 1500, 2500], FIVE_VOWELS[4]],
    diphthongs: 0.08,
    consonants: { hissed: 0.45, burst: 0.3, nasal: 0.15 },
    voiced: 0.45,
    onset: 1,
    coda: 0.4,
    cluster: 0.05,
    syllablesPerSecond: 6.5,
    stressed: 0.35,
    stressLength: 1.25,
    long: 0.3,
    tones: [],
  },
  {
    name: 'Polish',
    vowels: [...FIVE_VOWELS, TEN_VOWELS[1]],
    diphthongs: 0,
    consonants: { hissed: 0.5, burst: 0.3, nasal: 0.12 },
    voiced: 0.4,
    onset: 0.95,
    coda: 0.3,
    cluster: 0.35,
    syllablesPerSecond: 6.5,
    stressed: 0.4,
    stressLength: 1.1,
    long: 0,
    tones: [],
  },
];
