import type { Problem } from './api';

export interface EventHandlers {
  rebuilt(model: string): void;
  failed(model: string, problem: Problem): void;
  /** The line to the server was lost and is there again: what happened meanwhile is unknown. */
  resumed(): void;
  lost(): void;
}

/** Listens to what the server says about model files that change on disk. */
export function listen(handlers: EventHandlers, again = false): void {
  const source = new EventSource('/v1/events');
  let lost = again;
  source.addEventListener('rebuilt', (event) => {
    const { model } = JSON.parse((event as MessageEvent<string>).data) as { model: string };
    handlers.rebuilt(model);
  });
  source.addEventListener('failed', (event) => {
    const { model, problem } = JSON.parse((event as MessageEvent<string>).data) as { model: string; problem: Problem };
    handlers.failed(model, problem);
  });
  source.addEventListener('error', () => {
    if (!lost) handlers.lost();
    lost = true;
    // The browser gives up for good where the server answered with an error, as one does that is just starting.
    if (source.readyState === EventSource.CLOSED) setTimeout(() => listen({ ...handlers, lost: () => undefined }, true), 1500);
  });
  source.addEventListener('open', () => {
    if (lost) handlers.resumed();
    lost = false;
  });
}
