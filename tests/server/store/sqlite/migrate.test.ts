import Database from 'better-sqlite3';
import { expect, test } from 'vitest';
import { migrate } from '../../../../server/store/sqlite/migrate.ts';
import { migrations } from '../../../../server/store/sqlite/migrations/index.ts';

function memory() {
  return new Database(':memory:');
}

test('an empty database becomes the newest form, and stays as it is afterwards', () => {
  const db = memory();
  migrate(db);
  expect(db.pragma('user_version', { simple: true })).toBe(migrations.length);
  const schema = () => db.prepare('select sql from sqlite_master order by name').pluck().all();
  const before = schema();
  expect(before.length).toBeGreaterThan(10);
  migrate(db);
  expect(schema()).toEqual(before);
});

test('a step that fails leaves the form before it', () => {
  const db = memory();
  const steps = ['create table a (x)', 'create table b (x); insert into nowhere values (1)'];
  expect(() => migrate(db, steps)).toThrow('nowhere');
  expect(db.pragma('user_version', { simple: true })).toBe(1);
  expect(db.prepare('select name from sqlite_master').pluck().all()).toEqual(['a']);
  migrate(db, [steps[0], 'create table b (x)']);
  expect(db.pragma('user_version', { simple: true })).toBe(2);
});

test('data of a newer program are refused with what to do', () => {
  const db = memory();
  db.pragma(`user_version = ${migrations.length + 1}`);
  expect(() => migrate(db)).toThrow(/newer version of this program/);
});
