import type { TypeBoxTypeProvider } from '@fastify/type-provider-typebox';
import type {
  FastifyBaseLogger,
  FastifyInstance,
  RawReplyDefaultExpression,
  RawRequestDefaultExpression,
  RawServerDefault,
} from 'fastify';
import type { Caller } from '../access/caller.ts';

/** The HTTP application: handlers get their types from the schemas of their routes. */
export type App = FastifyInstance<
  RawServerDefault,
  RawRequestDefaultExpression,
  RawReplyDefaultExpression,
  FastifyBaseLogger,
  TypeBoxTypeProvider
>;

declare module 'fastify' {
  interface FastifyRequest {
    /** Who asks, by the key that came along. */
    caller: Caller;
    /** Why the key that came along was refused. */
    keyRefusal: unknown;
  }
}
