import fastifySwagger from '@fastify/swagger';
import type { TSchema } from 'typebox';
import type { App } from './app-types.ts';
import {
  CutOutFields,
  CutOutReading,
  ListenNote,
  ListenRequest,
  LiveEvent,
  LiveQuery,
  RecordingFields,
} from './messages.ts';

/** Collects the OpenAPI document from the schemas of the routes that are registered after it. */
export async function describeRoutes(app: App, version: string): Promise<void> {
  await app.register(fastifySwagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'Fiveunit',
        version,
        description:
          'Recordings and lines of teletype telemetry in, frames and readings out. Times are ISO 8601 UTC. Errors are RFC 9457 problem details with a stable code. Readers ignore keys that they do not know.',
      },
      components: {
        securitySchemes: {
          key: {
            type: 'http',
            scheme: 'bearer',
            description: "a station's key, the team's, or that of a recording's sender",
          },
        },
      },
      security: [{}, { key: [] }],
    },
  });
}

type Json = null | boolean | number | string | Json[] | { [key: string]: Json };
type JsonObject = { [key: string]: Json };

/** The document as it is given out: messages by name, and what schemas of routes cannot say. */
export function openApiDocument(app: App): JsonObject {
  const document: JsonObject = JSON.parse(JSON.stringify(app.swagger()));
  const paths = objectAt(document, 'paths');
  objectAt(paths, '/api/recordings', 'post').requestBody = {
    required: true,
    content: { 'multipart/form-data': { schema: recordingForm() } },
  };
  objectAt(paths, '/api/bursts', 'post').requestBody = {
    required: true,
    content: { 'multipart/form-data': { schema: cutOutForm() } },
  };
  paths['/api/live'] = { get: liveOperation() };
  paths['/api/listen'] = { get: listenOperation() };
  const schemas: JsonObject = {};
  const named = withNames(paths, schemas);
  return { ...document, paths: named, components: { ...objectAt(document, 'components'), schemas } };
}

function recordingForm(): JsonObject {
  return formWith(RecordingFields, { file: { type: 'string', contentMediaType: 'application/octet-stream' } });
}

function cutOutForm(): JsonObject {
  return formWith(CutOutFields, {
    file: { type: 'string', contentMediaType: 'audio/flac' },
    reading: {
      type: 'string',
      contentMediaType: 'application/json',
      contentSchema: JSON.parse(JSON.stringify(CutOutReading)),
    },
  });
}

/** A form of these fields with further parts, all of which are needed. */
function formWith(fields: TSchema, parts: JsonObject): JsonObject {
  const { properties, required, ...rest }: JsonObject = JSON.parse(JSON.stringify(fields));
  return {
    ...rest,
    properties: { ...asObject(properties), ...parts },
    required: [...(Array.isArray(required) ? required : []), ...Object.keys(parts)],
  };
}

function liveOperation(): JsonObject {
  const { properties }: JsonObject = JSON.parse(JSON.stringify(LiveQuery));
  return {
    summary: 'Events as they happen, over WebSocket; each message is one LiveEvent',
    description:
      'Connect with since=SEQ to get what was missed. A browser sends a key as the subprotocol "key." + base64url(key) beside "fiveunit.live".',
    parameters: Object.entries(asObject(properties)).map(([name, schema]) => ({
      in: 'query',
      name,
      required: false,
      schema,
    })),
    responses: {
      101: {
        description: 'a WebSocket',
        content: { 'application/json': { schema: JSON.parse(JSON.stringify(LiveEvent)) } },
      },
    },
  };
}

function listenOperation(): JsonObject {
  return {
    summary: 'Takes live samples over WebSocket from stations with a key; what is heard becomes recordings',
    description:
      'The first message is a ListenHeader; after "ready" binary messages with whole samples follow, never more of them unacknowledged than "window". After a cut connect again with the session and go on from the sample that "ready" names. Each message of the server is one ListenNote.',
    'x-messages': { schema: JSON.parse(JSON.stringify(ListenRequest)) },
    responses: {
      101: {
        description: 'a WebSocket',
        content: { 'application/json': { schema: JSON.parse(JSON.stringify(ListenNote)) } },
      },
    },
  };
}

/** Moves every schema with a title to `schemas` and leaves a reference; problems are told by their own media type. */
function withNames(node: Json, schemas: JsonObject): Json {
  if (Array.isArray(node)) return node.map((each) => withNames(each, schemas));
  if (typeof node !== 'object' || node === null) return node;
  const { title } = node;
  const inner = Object.fromEntries(Object.entries(node).map(([key, value]) => [key, withNames(value, schemas)]));
  if (typeof title === 'string' && ('type' in node || 'anyOf' in node)) {
    schemas[title] = inner;
    return { $ref: `#/components/schemas/${title}` };
  }
  const json = inner['application/json'];
  if (json !== undefined && asObject(asObject(json).schema).$ref === '#/components/schemas/Problem') {
    return { 'application/problem+json': json };
  }
  return inner;
}

function objectAt(node: JsonObject, ...path: readonly string[]): JsonObject {
  return path.reduce((object, key) => asObject(object[key]), node);
}

function asObject(json: Json | undefined): JsonObject {
  return typeof json === 'object' && json !== null && !Array.isArray(json) ? json : {};
}
