import { render } from 'preact';
import { act } from 'preact/test-utils';
import { describe, expect, it } from 'vitest';
import { type Resource, useResource } from '../../../web/api/use-resource.ts';
import { settle, show } from '../support/render.ts';

interface Pending {
  readonly name: string;
  readonly signal: AbortSignal;
  resolve(value: string): void;
  reject(error: unknown): void;
}

function probe() {
  const pending: Pending[] = [];
  const seen: { now: Resource<string> | null } = { now: null };
  function Probe({ name, detail = '' }: { readonly name: string | null; readonly detail?: string }) {
    seen.now = useResource(
      name,
      (signal) => new Promise<string>((resolve, reject) => pending.push({ name: name ?? '', signal, resolve, reject })),
      detail,
    );
    return null;
  }
  return { pending, seen, Probe };
}

describe('something fetched for a component', () => {
  it('is loading, then there', async () => {
    const { pending, seen, Probe } = probe();
    await show(<Probe name="a" />);
    expect(seen.now).toMatchObject({ value: null, loading: true });
    pending[0]?.resolve('A');
    await settle();
    expect(seen.now).toMatchObject({ value: 'A', loading: false, problem: null });
  });

  it('drops the answer to an earlier question', async () => {
    const { pending, seen, Probe } = probe();
    const root = await show(<Probe name="a" />);
    await act(async () => render(<Probe name="b" />, root));
    expect(pending[0]?.signal.aborted).toBe(true);
    pending[1]?.resolve('B');
    pending[0]?.resolve('A');
    await settle();
    expect(seen.now?.value).toBe('B');
  });

  it('keeps the old answer while only the detail changes, and when fetching fails', async () => {
    const { pending, seen, Probe } = probe();
    const root = await show(<Probe name="a" detail="1" />);
    pending[0]?.resolve('A1');
    await settle();
    await act(async () => render(<Probe name="a" detail="2" />, root));
    expect(seen.now).toMatchObject({ value: 'A1', loading: true });
    pending[1]?.reject(new Error('lost'));
    await settle();
    expect(seen.now).toMatchObject({ value: 'A1', loading: false });
    expect(seen.now?.problem?.message).toContain('lost');
  });

  it('does not show the answer about one thing for another', async () => {
    const { pending, seen, Probe } = probe();
    const root = await show(<Probe name="a" />);
    pending[0]?.resolve('A');
    await settle();
    await act(async () => render(<Probe name="b" />, root));
    expect(seen.now?.value).toBeNull();
  });
});
