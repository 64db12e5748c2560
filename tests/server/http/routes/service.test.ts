import { expect, test } from 'vitest';
import { putWren, testApp, upload } from '../../support/app.ts';
import { FakeDecoding, fakeRecording } from '../../support/fake-decoding.ts';

test('healthz tells what waits', async () => {
  const decoding = new FakeDecoding();
  decoding.hold();
  const built = await testApp({ decoding });
  await putWren(built);
  await upload(built, fakeRecording({ problems: ['a'] }));
  await upload(built, fakeRecording({ problems: ['b'] }));
  await expect
    .poll(async () => (await built.app.inject({ url: '/healthz' })).json())
    .toMatchObject({ status: 'ok', version: expect.stringMatching(/^\d+\.\d+/), jobs: { waiting: 1, running: 1 } });
  decoding.letGo();
  await built.jobs.idle();
});

test('metrics are lines that Prometheus reads', async () => {
  const { app } = await testApp();
  await app.inject({ url: '/healthz' });
  const { body, headers } = await app.inject({ url: '/metrics' });
  expect(headers['content-type']).toBe('text/plain; version=0.0.4; charset=utf-8');
  for (const line of body.trimEnd().split('\n')) {
    expect(line).toMatch(/^(# (HELP|TYPE) \w+ .+|\w+(\{\w+="\w+"\})? \d+(\.\d+)?)$/);
  }
  expect(body).toContain('fiveunit_http_requests_total{status="2xx"} 1\n');
  expect(body).toContain('fiveunit_frames{trust="confirmed"} 0\n');
});

test('the OpenAPI document describes every route, in version 3.1', async () => {
  const { app } = await testApp();
  const document = (await app.inject({ url: '/api/openapi.json' })).json();
  expect(document.openapi).toBe('3.1.0');
  const schemas = Object.keys(document.components.schemas);
  expect(schemas).toEqual(
    expect.arrayContaining(['FrameUpload', 'LiveEvent', 'Problem', 'Recording', 'RecordingFields']),
  );
  for (const [, name] of JSON.stringify(document).matchAll(/"#\/components\/schemas\/(\w+)"/g)) {
    expect(schemas).toContain(name);
  }
  const { requestBody, responses } = document.paths['/api/recordings'].post;
  expect(requestBody.content['multipart/form-data'].schema.$ref).toBe('#/components/schemas/RecordingFields');
  expect(document.components.schemas.RecordingFields.properties).toHaveProperty('file');
  expect(responses['4XX'].content).toHaveProperty(['application/problem+json']);
  const routes = Object.entries<Record<string, unknown>>(document.paths).flatMap(([path, methods]) =>
    Object.keys(methods).map((method) => `${method} ${path}`),
  );
  expect(routes.sort()).toEqual([
    'delete /api/recordings/{id}',
    'delete /api/stations/{callSign}',
    'get /api/frames/{id}',
    'get /api/listen',
    'get /api/live',
    'get /api/missions',
    'get /api/missions/{id}',
    'get /api/missions/{id}/frames',
    'get /api/missions/{id}/now',
    'get /api/missions/{id}/readings',
    'get /api/missions/{id}/versions',
    'get /api/recordings',
    'get /api/recordings/{id}',
    'get /api/recordings/{id}/audio',
    'get /api/recordings/{id}/bursts',
    'get /api/recordings/{id}/bursts/{index}/audio',
    'get /api/recordings/{id}/stretch',
    'get /api/settings',
    'get /api/stations',
    'get /healthz',
    'get /metrics',
    'patch /api/recordings/{id}',
    'post /api/bursts',
    'post /api/frames',
    'post /api/recordings',
    'post /api/stations',
    'put /api/missions/{id}',
    'put /api/settings',
  ]);
});
