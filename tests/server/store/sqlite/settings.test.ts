import { expect, test } from 'vitest';
import { memoryStore } from '../../support/store.ts';

test('settings stand at their defaults until they are changed', async () => {
  const store = memoryStore();
  expect(await store.settings()).toEqual({ title: 'Fiveunit', unvouchedUploads: true });
  await store.saveSettings({ title: 'Wren team', unvouchedUploads: false });
  expect(await store.settings()).toEqual({ title: 'Wren team', unvouchedUploads: false });
});
