import type { Database } from 'better-sqlite3';
import type { Settings } from '../records.ts';
import type { SettingStore } from '../store.ts';

const DEFAULTS: Settings = { title: 'Fiveunit', unvouchedUploads: true };

export function sqliteSettings(db: Database): SettingStore {
  const all = db.prepare<[], { name: string; value: string }>('select name, value from settings');
  const put = db.prepare<[string, string]>(
    'insert into settings (name, value) values (?, ?) on conflict (name) do update set value = excluded.value',
  );
  const save = db.transaction((settings: Settings) => {
    for (const [name, value] of Object.entries(settings)) put.run(name, JSON.stringify(value));
  });
  return {
    async settings() {
      const stored = Object.fromEntries(all.all().map((row) => [row.name, JSON.parse(row.value)]));
      return { ...DEFAULTS, ...stored };
    },
    async saveSettings(settings) {
      save.immediate(settings);
    },
  };
}
