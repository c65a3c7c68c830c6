import { definePage } from '../pages/define-page.ts';

/** Where upgrade studies appear. Until there are any, it leads to what speaks for one. */
export const studiesPage = definePage({
  url: '/marinas/:marinaId/studies',
  roles: ['manager', 'viewer'],
  show: async ({ view, params }) => {
    const { manage } = view.texts;
    const base = `/marinas/${params.marinaId}`;
    return {
      kind: 'page',
      section: 'studies',
      title: manage.studies,
      body: (
        <>
          <h1>{manage.studies}</h1>
          <p class="lead">{manage.studiesLead}</p>
          <p>{manage.studiesMeanwhile}</p>
          <ul>
            <li>
              <a href={`${base}/load`}>{manage.seeLoad}</a>
            </li>
            <li>
              <a href={`${base}/turned-away`}>{manage.seeTurnedAway}</a>
            </li>
            <li>
              <a href={`${base}/inventory`}>{manage.seeNotAssessed}</a>
            </li>
          </ul>
        </>
      ),
    };
  },
});
