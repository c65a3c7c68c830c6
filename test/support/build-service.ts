import { execFileSync } from 'node:child_process';
import { projectRoot } from '../../server/project-root.ts';

/** Builds the service once for all files that start it again and again: built, it starts in half the time. */
export default function setUp(): void {
  execFileSync('npm', ['run', '--silent', 'build'], { cwd: projectRoot, stdio: ['ignore', 'ignore', 'inherit'] });
}
