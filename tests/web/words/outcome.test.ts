// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { outcomeText } from '../../../web/words/outcome.ts';
import { presence } from '../support/scene.ts';

describe('what became of a recording', () => {
  it.each([
    [{ status: 'waiting', progress: 0, bursts: 0, frames: 0 }, 'waits for its turn'],
    [{ status: 'decoding', progress: 0.425, bursts: 1, frames: 1 }, '43 % decoded, 1 frame so far'],
    [{ status: 'decoded', progress: 1, bursts: 3, frames: 0 }, '3 bursts, no frames'],
    [{ status: 'decoded', progress: 1, bursts: 0, frames: 0 }, 'no keyed burst found'],
    [{ status: 'failed', progress: 0, bursts: 0, frames: 0 }, 'could not be decoded'],
  ] as const)('%o', (recording, text) => {
    expect(outcomeText({ presence: [], ...recording })).toBe(text);
  });

  it.each([
    [0, 'beacon present, not readable'],
    [2, '2 bursts, no frames; beacon present, not readable'],
  ])('with a beacon too faint to be read, beside %d bursts', (bursts, text) => {
    expect(outcomeText({ status: 'decoded', progress: 1, bursts, frames: 0, presence: [presence()] })).toBe(text);
  });
});
