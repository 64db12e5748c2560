import { beforeEach, describe, expect, it } from 'vitest';
import { go } from '../../web/address/location.ts';
import { App } from '../../web/app.tsx';
import { loadMissions, missions, missionsProblem } from '../../web/shell/missions.ts';
import { chooseTheme, theme } from '../../web/shell/theme.ts';
import { settle, show, textOf } from './support/render.ts';
import { isoAt, now } from './support/scene.ts';
import { answerWith } from './support/server.ts';

const summary = (id: string, name: string, invented: boolean) => ({
  id,
  name,
  callSign: 'Q0DUN',
  version: 1,
  savedAt: isoAt(0),
  lastHeard: null,
  frames: 0,
  private: false,
  invented,
});

async function open(path: string, answer: unknown): Promise<HTMLElement> {
  answerWith({
    '/api/missions/dunlin-1/now': now(),
    '/api/missions/plover-2/now': now({ name: 'Plover-2' }),
    '/api/missions': answer,
  });
  go(path);
  const root = await show(<App />);
  await loadMissions();
  await settle();
  return root;
}

const both = { missions: [summary('dunlin-1', 'Dunlin-1', true), summary('plover-2', 'Plover-2', false)] };

beforeEach(() => {
  missions.value = null;
  missionsProblem.value = null;
});

describe('the pages', () => {
  it('show the first mission, and say when it is invented', async () => {
    const root = await open('/', both);
    expect(textOf(root.querySelector('h1'))).toContain('Dunlin-1 is well');
    expect(textOf(root.querySelector('.band'))).toContain(
      'Invented. Dunlin-1 does not fly; its stations and readings are made up.',
    );
  });

  it('show the mission that the address names, and keep it in every link', async () => {
    const root = await open('/?mission=plover-2', both);
    expect(textOf(root.querySelector('h1'))).toContain('Plover-2');
    expect(root.querySelector('.band')).toBeNull();
    const links = [...root.querySelectorAll('nav a')].map((link) => link.getAttribute('href'));
    expect(links).toEqual([
      '/?mission=plover-2',
      '/trends?mission=plover-2',
      '/recordings?mission=plover-2',
      '/listen?mission=plover-2',
      '/frames?mission=plover-2',
      '/mission?mission=plover-2',
    ]);
  });

  it('say that they do not show the flight, and keep to the phase', async () => {
    const root = await open('/?phase=rehearsal', both);
    const bands = [...root.querySelectorAll('.band')].map(textOf);
    expect(bands[1]).toContain('Rehearsal. None of this was sent in flight.');
    expect(root.querySelector('nav a[href="/trends?phase=rehearsal"]')).not.toBeNull();
    expect(root.querySelector('.band a')?.getAttribute('href')).toBe('/');
  });

  it('say that an address names nothing', async () => {
    expect(textOf(await open('/nowhere', both))).toContain('There is no such page');
    expect(textOf(await open('/?mission=%3Cb%3E', both))).toContain('There is no mission <b> here');
  });

  it('teach how a mission comes in when there is none', async () => {
    expect(textOf(await open('/', { missions: [] }))).toContain('No mission yet');
  });

  it('say when the server cannot answer', async () => {
    const root = await open('/', () => ({ status: 500, json: null }));
    expect(textOf(root.querySelector('[role="alert"]'))).toContain('The satellites could not be listed');
  });
});

describe('the paper', () => {
  it('is remembered when chosen, and forgotten when the device decides', () => {
    chooseTheme('night');
    expect(theme.value).toBe('night');
    expect(window.localStorage.getItem('fiveunit-theme')).toBe('night');
    chooseTheme('system');
    expect(window.localStorage.getItem('fiveunit-theme')).toBeNull();
  });
});
