import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { FrameDetail, FrameReading } from '../../../../server/http/messages.ts';
import { Origin } from '../../../../web/pages/frames/origin.tsx';
import { settle, show, textOf } from '../../support/render.ts';
import { burst, frame } from '../../support/scene.ts';
import { answerWith } from '../../support/server.ts';

const definition = JSON.parse(readFileSync(join(process.cwd(), 'samples', 'dunlin-1.json'), 'utf8'));

const characters = [...'P 7921 -0130'].map((text, slot) => ({
  text,
  slot,
  confidence: 0.999,
  field: text === ' ' || slot < 2 ? null : slot < 6 ? 'battery_mv' : 'battery_ma',
}));
const power: FrameReading = {
  parameter: 'battery_power',
  value: -1.03,
  unit: 'W',
  trust: 'doubtful',
  confidence: 0.61,
  limit: null,
  notes: ['the widest limits apply'],
};

const heard: Extract<FrameDetail['origin'], { source: 'recording' }> = {
  source: 'recording',
  recording: {
    id: 'r7',
    sha256: 'cd'.repeat(32),
    startedAt: null,
    startedAtSource: null,
    timeAccuracySeconds: null,
  },
  decoderVersion: 1,
  startSeconds: 12.4,
  endSeconds: 20,
  burst: { ...burst(), baud: 45.452, ebN0Db: 9.44 },
  slots: burst().slots,
  copies: [],
};

async function origin(change: Parameters<typeof frame>[0], parameter: string | null): Promise<HTMLElement> {
  answerWith({ '/api/missions/dunlin-1': definition });
  const root = await show(<Origin frame={frame({ characters, ...change })} mission="dunlin-1" parameter={parameter} />);
  for (let i = 0; i < 200 && parameter !== null && root.querySelector('mark') === null; i++) await settle();
  return root;
}

const fact = (root: HTMLElement, name: string): string =>
  textOf([...root.querySelectorAll('dt')].find((dt) => dt.textContent === name)?.nextElementSibling ?? null);

describe('where a reading came from', () => {
  it('is shown to the characters, of all fields that a derived value rests on', async () => {
    const root = await origin({ readings: [power] }, 'battery_power');
    expect([...root.querySelectorAll('mark')].map(({ textContent }) => textContent)).toEqual(['7921', '-0130']);
    expect(textOf(root.querySelector('h2'))).toBe('Battery power\u22121.03 W');
  });

  it('states trust and confidence of the reading, not of the frame, and what was assumed', async () => {
    const root = await origin({ readings: [power], confidence: 0.9999, trust: 'confirmed' }, 'battery_power');
    expect(fact(root, 'Trust')).toBe('doubtful, 61 % sure');
    expect(fact(root, 'Assumed')).toBe('the widest limits apply');
  });

  it('tells a frame without a checksum from one that was cut off before it', async () => {
    expect(fact(await origin({ checksum: 'none' }, null), 'Checksum')).toBe('none in this frame');
    const cut = await origin({ checksum: 'none', complete: false }, null);
    expect(fact(cut, 'Checksum')).toBe('none was read: the frame is incomplete');
  });

  it('names station, line and versions', async () => {
    const root = await origin({ vouched: false, definition: { version: 1, readingsVersion: 2 } }, null);
    expect(fact(root, 'Station')).toBe('Q1LARK unvouched');
    expect(fact(root, 'Sent as')).toContain('q0dun 7921');
    expect(fact(root, 'Definition')).toBe('version 2; the text was read with version 1');
  });

  it('lists where it was heard, what each place gives alone, and why one does not count', async () => {
    const copy = {
      station: 'Q1LARK',
      vouched: true,
      recording: 'r7',
      burst: 0,
      startSeconds: 12.4,
      endSeconds: 20,
      ebN0Db: 6.32,
      use: 'added',
      alone: { frame: 'power', text: 'Q0DUN 7821', trust: 'doubtful', confidence: 0.41 },
    } as const;
    const root = await origin(
      {
        text: 'Q0DUN 7921',
        origin: {
          ...heard,
          copies: [
            copy,
            { ...copy, station: 'Q2WREN', vouched: false, recording: 'r9', alone: null },
            { ...copy, station: 'Q3WREN', recording: 'r11', use: 'same-noise' },
          ],
        },
      },
      null,
    );
    const items = [...root.querySelectorAll('.copies li')];
    expect(items.map(textOf)).toEqual([
      'Q1LARK r7 at 0:12.4, Eb/N0 6.3 dBAlone: doubtful, 41 % sure of Q0DUN 7821',
      'Q2WREN unvouched r9 at 0:12.4, Eb/N0 6.3 dBNothing could be read in it alone.',
      'Q3WREN r11 at 0:12.4, Eb/N0 6.3 dBAlone: doubtful, 41 % sure of Q0DUN 7821It bears the same noise as a clearer copy: one receiver, counted once.',
    ]);
    expect(items[1].querySelector('a')?.getAttribute('href')).toBe('/recordings/r9?frame=f1');
    expect(fact(root, 'Trust')).toContain('from 2 copies together');
  });

  it('says why a frame is in doubt', async () => {
    const notes = ['clearly-against', 'a-code-of-later'];
    const decision = { posterior: 0.9, foreignNatsPerCharacter: 0, repaired: false, notes };
    const root = await origin({ decision, trust: 'doubtful' }, null);
    expect(fact(root, 'Trust')).toContain('One character is clearly another');
    expect(fact(root, 'Trust')).toContain('a-code-of-later');
  });

  it('leads to the recording, and shows its tape', async () => {
    const root = await origin(
      { decision: { posterior: 1, foreignNatsPerCharacter: 0, repaired: true, notes: [] }, origin: heard },
      null,
    );
    expect(fact(root, 'Recording')).toBe('r7 at 0:12.4');
    expect(root.querySelector('dd a[href^="/recordings/"]')?.getAttribute('href')).toBe('/recordings/r7?frame=f1');
    expect(fact(root, 'Burst')).toBe('45.45 Bd, mark 1275 Hz, space 1445 Hz, Eb/N0 9.4 dB');
    expect(fact(root, 'Trust')).toContain('repaired');
    expect(root.querySelector('.tape')).not.toBeNull();
  });
});
