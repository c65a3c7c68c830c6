import { type Problem, problems } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { homeOf } from './navigation.ts';
import { FindingList } from './parts/findings.tsx';
import type { View } from './view.ts';

interface ProblemPageProps {
  readonly problem: Problem;
  readonly requestId: string;
  readonly view: View;
  readonly home: Principal | null;
}

/** A problem that no form of the page could show. */
export function ProblemPage({ problem, requestId, view, home }: ProblemPageProps) {
  const { title, status } = problems[problem.problem];
  const { common } = view.texts;
  return (
    <>
      <h1>{title}</h1>
      <p class="lead">{problem.message}</p>
      {problem.parts.findings && <FindingList view={view} findings={problem.parts.findings} />}
      <p>
        <a class="button" href={home === null ? '/sign-in' : `/marinas/${home.marinaId}/${homeOf(home.role)}`}>
          {common.back}
        </a>
      </p>
      <p class="small">
        {status} · {common.requestId} {requestId}
      </p>
    </>
  );
}
