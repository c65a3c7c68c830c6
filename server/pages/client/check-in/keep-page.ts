/**
 * Lets the browser open this page again without a network, where it can: a service worker needs HTTPS or this very
 * machine. Answers whether it does.
 */
export async function keepPage(marinaId: string): Promise<boolean> {
  if (!('serviceWorker' in navigator)) return false;
  try {
    await navigator.serviceWorker.register(`/marinas/${marinaId}/check-in-worker.js`);
    await navigator.serviceWorker.ready;
    return true;
  } catch {
    // The browser refuses (a private window, a certificate that it does not trust): the page then says what that means.
    return false;
  }
}
