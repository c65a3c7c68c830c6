// Makes the database client after an installation. Where only what runs was installed (`npm ci --omit=dev`) there is no
// generator and nothing to generate: the built service has its client in dist/.
import { execFileSync } from 'node:child_process';
import { createRequire } from 'node:module';

const generator = findGenerator();
if (generator === null) {
  console.log('Quaywatt: without development packages this folder runs what is built in dist/; it builds nothing.');
} else {
  execFileSync(process.execPath, [generator, 'generate'], { stdio: 'inherit' });
}

function findGenerator() {
  try {
    return createRequire(import.meta.url).resolve('prisma/build/index.js');
  } catch (error) {
    if (error.code === 'MODULE_NOT_FOUND') return null;
    throw error;
  }
}
