import type { Problem } from './api';

export interface EventHandlers {
  rebuilt(model: string): void;
  failed(model: string, problem: Problem): void;
  /** The line to the server was lost and is there again: what happened meanwhile is unknown. */
  resumed(): void;
}

/** Listens to what the server says about model files that change on disk. */
export function listen(handlers: EventHandlers): void {
  const source = new EventSource('/v1/events');
  let lost = false;
  source.addEventListener('rebuilt', (event) => {
    const { model } = JSON.parse((event as MessageEvent<string>).data) as { model: string };
    handlers.rebuilt(model);
  });
  source.addEventListener('failed', (event) => {
    const { model, problem } = JSON.parse((event as MessageEvent<string>).data) as { model: string; problem: Problem };
    handlers.failed(model, problem);
  });
  source.addEventListener('error', () => {
    lost = true;
  });
  source.addEventListener('open', () => {
    if (lost) handlers.resumed();
    lost = false;
  });
}
