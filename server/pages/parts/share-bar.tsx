/** A share of a limit as a line; the stroke across it is the limit. The figure stands beside it in words. */
export function ShareBar({ share }: { readonly share: number }) {
  const most = 1.2;
  const width = (Math.min(share, most) / most) * 120;
  return (
    <svg class="bar" viewBox="0 0 120 12" preserveAspectRatio="none" aria-hidden="true" focusable="false">
      <path d={`M0 6H${width}`} />
      <path class="bar-limit" d="M100 0V12" />
    </svg>
  );
}
