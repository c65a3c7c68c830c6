import { defineConfig } from 'prisma/config';

// `prisma generate` asks for a schema engine that it then does not use; naming an existing program spares its download.
process.env.PRISMA_SCHEMA_ENGINE_BINARY ??= process.execPath;

export default defineConfig({ schema: 'prisma/schema.prisma', migrations: { path: 'prisma/migrations' } });
