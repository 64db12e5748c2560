import { describe, expect, it } from 'vitest';
import { keepSenderKey } from '../../../../web/api/sender-keys.ts';
import { viewerKey } from '../../../../web/api/viewer-key.ts';
import RecordingPage from '../../../../web/pages/recordings/recording-page.tsx';
import { byText, click, settle, show, textOf, type } from '../../support/render.ts';
import { burst, frame, presence, recording } from '../../support/scene.ts';
import { type Asked, answerWith } from '../../support/server.ts';

async function page(
  change: Parameters<typeof recording>[0],
  bursts: unknown[] = [],
): Promise<{ root: HTMLElement; asked: Asked[] }> {
  const asked = answerWith({
    '/api/recordings/r7/bursts': { recording: 'r7', bursts },
    '/api/recordings/r7': recording(change),
    '/api/frames/f1': frame(),
  });
  const root = await show(<RecordingPage id="r7" frame={null} />);
  await settle();
  return { root, asked };
}

describe('one recording', () => {
  it('shows its bursts as tape, and the frames in them', async () => {
    const inBurst = { ...frame(), startSeconds: 1, endSeconds: 2, characters: frame().characters };
    const { root } = await page({}, [burst({ frames: [inBurst] })]);
    expect(textOf(root.querySelector('h1'))).toBe('Recording r7: 1 burst, 1 frame');
    expect(root.querySelector('.tape [role="img"]')?.getAttribute('aria-label')).toBe('Tape: QA');
    expect(textOf(root.querySelector('.measures'))).toContain('45.45 Bd');
    expect(textOf(root.querySelector('.burst-frame'))).toContain('checksum fits');
  });

  it('says of a frame that it was sent for practice', async () => {
    const practice = { ...frame(), text: 'Q0PRACTICE P 1', startSeconds: 1, endSeconds: 2 };
    const { root } = await page({}, [burst({ frames: [practice] })]);
    expect(textOf(root.querySelector('.burst-frame'))).toContain('rehearsal: sent for practice');
  });

  it('picks out a field on tape and in the text, from whichever end it is chosen', async () => {
    const characters = [
      { text: 'Q', slot: 1, confidence: 1, field: null },
      { text: 'A', slot: 2, confidence: 1, field: 'battery' },
    ];
    const { root } = await page({}, [burst({ frames: [{ ...frame(), startSeconds: 1, endSeconds: 2, characters }] })]);
    await click(byText(root, 'A'));
    expect(root.querySelectorAll('.tape .picked')).toHaveLength(1);
    expect(textOf(root.querySelector('mark'))).toBe('A');
    expect(textOf(root.querySelector('.told'))).toContain('A, 40 %, at 0:01.3');

    const press = async (key: string): Promise<void> => {
      root
        .querySelector('.tape')
        ?.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true }));
      await settle();
    };
    await press('ArrowLeft');
    expect(root.querySelector('mark')).toBeNull();
    expect(textOf(root.querySelector('.told'))).toContain('Q, 99.9 %');
    await press('ArrowRight');
    expect(textOf(root.querySelector('mark'))).toBe('A');
  });

  it('offers the sound of what may be heard: to its sender all of the recording', async () => {
    const audible = { startSeconds: 0.5, endSeconds: 2.5 };
    const panels = (root: HTMLElement) =>
      [...root.querySelectorAll('.sound')].map((panel) => panel.getAttribute('aria-label'));
    expect(panels((await page({}, [burst({ audible: null, withheld: true })])).root)).toEqual([]);
    expect(panels((await page({}, [burst({ audible })])).root)).toEqual(['Burst 1']);
    const whole = await page({ yours: true }, [burst({ audible })]);
    expect(panels(whole.root)).toEqual(['The whole recording', 'Burst 1']);
  });

  it('tells of I/Q what the band is, how the receiver was tuned, and where the carrier was when', async () => {
    const iq = {
      captures: 1,
      centerHz: 145.9e6,
      tuning: 'fixed',
      tuningSource: 'sender',
      referenceErrorPpm: 0.5,
    } as const;
    const audio = { ...recording().audio, channels: 2, encoding: 'sigmf ci16_le', iq } as ReturnType<
      typeof recording
    >['audio'];
    const track = [1, 2].map((seconds) => ({ seconds, carrierHz: -4990 - 12.5 * seconds, uncertaintyHz: 0.25 }));
    const carrier = {
      source: 'recording',
      modulation: 'fsk',
      seconds: 1.5,
      carrierHz: -5008.75,
      absoluteHz: 145_894_991.25,
      driftHzPerSecond: -12.5,
      uncertaintyHz: 0.2,
      track,
    } as const;
    const audible = { startSeconds: 0.5, endSeconds: 2.5 };
    const tones = { markHz: -5093.75, spaceHz: -4923.75, driftHzPerSecond: -12.5 };
    const { root } = await page({ audio, yours: true }, [burst({ carrier, audible, ...tones })]);
    const facts = textOf(root.querySelector('.facts'));
    expect(facts).toContain('I/Q, 48 kHz wide around 145.900000 MHz');
    expect(facts).toContain(
      'The receiver stood fixed on one frequency; its reference is right to 0.5 ppm, 73 Hz here. Said by its sender.',
    );
    const told = textOf(root.querySelector('.carrier'));
    expect(told).toContain('145.894991 MHz (−5008.8 Hz) from the middle of the band at 0:01.5, drifting −12.5 Hz/s');
    expect(told).toContain('as far as noise goes; the receiver’s reference is not in that');
    const rows = [...root.querySelectorAll('.carrier tbody tr')].map((row) =>
      [...row.querySelectorAll('td')].map((cell) => textOf(cell)),
    );
    expect(rows[1]).toEqual(['2.00', '145.894985', '−5015.00', '0.25']);
    expect(root.querySelectorAll('.carrier circle')).toHaveLength(2);
    expect([...root.querySelectorAll('.sound')].map((panel) => panel.getAttribute('aria-label'))).toEqual(['Burst 1']);
    expect(textOf(root.querySelector('.burst'))).toContain('their middle is heard at 1700 Hz; the drift is taken out');
    expect(textOf(root)).toContain('I/Q is no sound by itself');

    const cutOut = {
      software: 'fiveunit 0.1.0',
      decoderVersion: 4,
      source: { sha256: null, startSeconds: 12 },
      band: { centerHz: 145.9e6, tuning: 'fixed', referenceErrorPpm: 0.5 },
      bursts: 1,
      readAgain: { elements: 100, agreeing: 100 },
    } as const;
    const said = burst({ carrier: { ...carrier, source: 'sender' }, audible, markHz: 1275, spaceHz: 1445 });
    const cut = await page({ cutOut }, [said]);
    expect(textOf(cut.root.querySelector('.facts'))).toContain(
      '73 Hz here. Said by its sender, who cut it out of a band.',
    );
    expect(textOf(cut.root.querySelector('.carrier'))).toContain('by its sender, whose word it is');
    expect(textOf(cut.root.querySelector('.burst'))).not.toContain('their middle is heard');
  });

  it('shows all of it to who gives the key of its station or the team, and to nobody else', async () => {
    const answers = (yours: boolean) => ({ json: recording({ yours }) });
    const asked = answerWith({
      '/api/recordings/r9/bursts': {
        recording: 'r9',
        bursts: [burst({ audible: { startSeconds: 0, endSeconds: 2 } })],
      },
      '/api/recordings/r9': ({ headers }: Asked) => answers(headers.get('authorization') === 'Bearer the-team-key'),
    });
    const root = await show(<RecordingPage id="r9" frame={null} />);
    await settle();
    const give = async (key: string): Promise<void> => {
      await type(root.querySelector('.key-form input'), key);
      await click(byText(root, 'Use it'));
      await settle();
    };
    await give('another-key');
    expect(textOf(root.querySelector('.key-form [role="alert"]'))).toContain('key of another station');
    expect(asked.filter(({ path }) => path.endsWith('/bursts'))).toHaveLength(1);
    await give('the-team-key');
    expect(root.querySelector('.key-form')).toBeNull();
    expect(root.querySelector('.sound')?.getAttribute('aria-label')).toBe('The whole recording');
    expect(asked.at(-1)?.headers.get('authorization')).toBe('Bearer the-team-key');
    viewerKey.value = null;
  });

  it('says an empty result well, with what to do', async () => {
    const { root } = await page({ bursts: 0, frames: 0 });
    expect(textOf(root)).toContain('No keyed burst was found');
    expect(root.querySelectorAll('.advice li').length).toBeGreaterThan(2);
  });

  it('says that a beacon is present but not readable: its tones, its level, and how sure that is', async () => {
    const { root } = await page({ bursts: 0, frames: 0, presence: [presence()] });
    expect(textOf(root.querySelector('h1'))).toBe('Recording r7: beacon present, not readable');
    const notice = textOf(root.querySelector('.notice'));
    expect(notice).toContain('Beacon of dunlin-1 present, not readable');
    expect(notice).toContain(
      '8 transmissions keyed like its own came every 60.0 s, the first at 0:12.3, the last at 7:12.5',
    );
    expect(notice).toContain('mark 1283 Hz, space 1453 Hz');
    expect(notice).toContain('Eb/N0 \u22123.1 dB');
    expect(notice).toContain('one of 20 000 recordings');
    expect(notice).toContain('another sender with the same keying, tones, interval and similar text');
    expect(textOf(root)).not.toContain('No keyed burst');
  });

  it('says what was wrong with the file, and where', async () => {
    const { root } = await page({
      problems: [{ code: 'cut-short', message: 'The file is cut short.', atSeconds: 8.58 }],
    });
    expect(textOf(root.querySelector('.problems'))).toBe('at 0:08.6: The file is cut short.');
  });

  it('says that a file is simulated, and where its readings are when they are not flight', async () => {
    const audio = { ...recording().audio, simulated: true } as ReturnType<typeof recording>['audio'];
    const invented = await page({ audio });
    expect(textOf(invented.root.querySelector('.facts'))).toContain('simulated: nobody ever sent it');
    expect(byText(invented.root, 'Trends of the rehearsal')).toBeNull();

    const problems = [{ code: 'simulated', message: 'Its frames are kept as rehearsal.', atSeconds: null }];
    const { root } = await page({ audio, problems });
    expect(byText(root, 'Trends of the rehearsal')?.getAttribute('href')).toBe('/trends?phase=rehearsal');
  });

  it('says why it could not be decoded', async () => {
    const error = { code: 'not-audio', message: 'This is no recording: it begins like a PDF document.' };
    const { root } = await page({ status: 'failed', bursts: 0, frames: 0, audio: null, error });
    expect(textOf(root.querySelector('h1'))).toBe('Recording r7: could not be decoded');
    expect(textOf(root)).toContain('it begins like a PDF document');
  });

  it('says that text is withheld, and from whom', async () => {
    const { root } = await page({}, [burst({ withheld: true, text: '', characters: [], slots: [] })]);
    expect(textOf(root.querySelector('.burst'))).toContain('shown to its sender and the mission’s team only');
    expect(root.querySelector('.tape')).toBeNull();
  });

  it('asks its sender when it began, and nobody else', async () => {
    const stranger = await page({ needsTime: true, startedAt: null, startedAtSource: null });
    expect(stranger.root.querySelector('form.notice')).toBeNull();
    expect(textOf(stranger.root)).toContain('Nobody has said when this was recorded');

    keepSenderKey('r7', 'a-key-of-its-sender');
    const { root, asked } = await page({ needsTime: true, startedAt: null, startedAtSource: null, yours: true });
    await type(root.querySelector('form input'), '2031-05-04 09:12:00');
    await click(byText(root, 'Save'));
    await settle();
    const change = asked.find(({ method }) => method === 'PATCH');
    expect(change?.body).toEqual({ startedAt: '2031-05-04T09:12:00.000Z' });
    expect(change?.headers.get('authorization')).toBe('Bearer a-key-of-its-sender');
  });

  it('asks the sender later how the receiver was tuned, and takes two channels for I and Q', async () => {
    const audio = { ...recording().audio, channels: 2 } as NonNullable<ReturnType<typeof recording>['audio']>;
    const iq = {
      captures: 1,
      centerHz: null,
      tuning: 'fixed',
      tuningSource: 'sender',
      referenceErrorPpm: null,
    } as const;
    const band = await page({ audio: { ...audio, iq }, yours: true });
    await type(band.root.querySelector('.band-said input'), '0,5');
    await click(byText(band.root, 'Save'));
    await settle();
    const tuned = band.asked.find(({ method }) => method === 'PATCH');
    expect(tuned?.body).toEqual({ tuning: 'fixed', referenceErrorPpm: 0.5 });

    const sound = await page({ audio: { ...audio, iq: null }, yours: true });
    await type(sound.root.querySelector('.band-said input'), '145.9');
    await click(byText(sound.root, 'Decode again as I/Q'));
    await settle();
    const declared = sound.asked.find(({ method }) => method === 'PATCH');
    expect(declared?.body).toEqual({ iq: true, centerHz: 145.9e6 });

    expect((await page({ audio: { ...audio, iq: null }, yours: false })).root.querySelector('.band-said')).toBeNull();
    const mono = await page({ audio: { ...audio, channels: 1, iq: null }, yours: true });
    expect(mono.root.querySelector('.band-said')).toBeNull();
  });
});
