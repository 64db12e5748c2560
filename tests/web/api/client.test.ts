import { describe, expect, it, vi } from 'vitest';
import { request } from '../../../web/api/client.ts';
import { answerWith } from '../support/server.ts';

describe('asking the server', () => {
  it('sends JSON and a key, and gives the answer', async () => {
    const asked = answerWith({ '/api/x': { fine: true } });
    await expect(request('/api/x', { method: 'POST', body: { a: 1 }, key: 'secret' })).resolves.toEqual({ fine: true });
    expect(asked[0]).toMatchObject({ method: 'POST', body: { a: 1 } });
    expect(asked[0]?.headers.get('authorization')).toBe('Bearer secret');
    expect(asked[0]?.headers.get('content-type')).toBe('application/json');
  });

  it('throws the problem of a refusal', async () => {
    answerWith({});
    await expect(request('/api/none')).rejects.toMatchObject({ code: 'address-unknown', status: 404 });
  });

  it('says that the server cannot be reached', async () => {
    vi.stubGlobal('fetch', () => Promise.reject(new TypeError('Failed to fetch')));
    await expect(request('/api/x')).rejects.toMatchObject({ code: 'unreachable' });
  });

  it('says that an answer which is no JSON is none', async () => {
    vi.stubGlobal('fetch', async () => new Response('<html>', { status: 200 }));
    await expect(request('/api/x')).rejects.toMatchObject({ code: 'http-502' });
  });

  it('leaves an abort an abort', async () => {
    const abort = new AbortController();
    vi.stubGlobal('fetch', () => {
      abort.abort();
      return Promise.reject(abort.signal.reason);
    });
    await expect(request('/api/x', { signal: abort.signal })).rejects.toBe(abort.signal.reason);
  });
});
