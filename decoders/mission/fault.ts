/** One thing wrong with a mission definition, said so that its author can mend it without reading our code. */
export interface Fault {
  /** Stable, kebab-case, for instance `unknown-key`. */
  readonly code: string;
  /** Where in the file, for instance `frames[0].layout[3].digits`. */
  readonly path: string;
  /** What stood there, printed short. */
  readonly found: string;
  /** What may stand there. */
  readonly expected: string;
  readonly severity: 'fault' | 'warning';
}
