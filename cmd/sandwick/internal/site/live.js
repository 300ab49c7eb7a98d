// Follows the farm's files: when an answer has been made anew the page is loaded
// again, where it was scrolled to.
(() => {
  const mine = document.querySelector('meta[name="answer"]');
  if (!mine || !window.EventSource) return;
  let source;
  const listen = () => {
    source = new EventSource('/changes');
    source.onmessage = (e) => { if (e.data !== mine.content) location.reload(); };
  };
  addEventListener('pagehide', () => source.close());
  addEventListener('pageshow', (e) => { if (e.persisted) listen(); });
  listen();
})();
