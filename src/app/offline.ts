/** Lets the browser keep the page's files once they are loaded, so that it opens without a network. */
export function keepOffline(): void {
  // The dev server's files change under its feet; and a page opened from a file has no workers of this kind.
  if (!import.meta.env.PROD || !('serviceWorker' in navigator)) return
  const register = () => {
    // A browser that refuses (private windows) works as before, with the network.
    navigator.serviceWorker.register('./service-worker.js').catch(() => {})
  }
  if (document.readyState === 'complete') register()
  else window.addEventListener('load', register, { once: true })
}
