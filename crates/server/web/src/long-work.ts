// Work that takes a while: shown as it goes, and called off with a button.

import { html } from './dom';

export class LongWork {
  private readonly bar = html('progress', { 'aria-label': 'Progress' });
  private readonly words = html('span', {});
  private readonly stop = html('button', { type: 'button', class: 'cancel' }, 'Cancel');
  private running: AbortController | null = null;

  constructor(private readonly host: HTMLElement) {
    this.host.classList.add('long-work');
    this.host.setAttribute('role', 'status');
    this.host.hidden = true;
    this.host.append(this.words, this.bar, this.stop);
    this.stop.addEventListener('click', () => this.running?.abort());
  }

  /**
   * Runs work until it is done or called off; false if it was called off. One work at a time: the next one calls the
   * one before it off.
   */
  async run(title: string, work: (signal: AbortSignal, tell: (share: number | null, words: string) => void) => Promise<void>): Promise<boolean> {
    this.running?.abort();
    const running = new AbortController();
    this.running = running;
    const tell = (share: number | null, words: string): void => {
      if (this.running !== running) return;
      this.words.textContent = words;
      // Without a value the bar says that nobody knows how long.
      if (share === null) this.bar.removeAttribute('value');
      else this.bar.value = share;
    };
    tell(null, title);
    this.host.hidden = false;
    try {
      await work(running.signal, tell);
      return !running.signal.aborted;
    } catch (reason) {
      if (running.signal.aborted) return false;
      throw reason;
    } finally {
      if (this.running === running) {
        this.host.hidden = true;
        this.running = null;
      }
    }
  }
}

/** The bytes of an answer as they come in. */
export async function readAll(answer: Response, told: (bytes: number, of: number | null) => void): Promise<Blob> {
  const of = Number(answer.headers.get('Content-Length')) || null;
  const chunks: BlobPart[] = [];
  let bytes = 0;
  const reader = answer.body?.getReader();
  for (;;) {
    const { done, value } = (await reader?.read()) ?? { done: true, value: undefined };
    if (done || !value) break;
    chunks.push(value as BlobPart);
    bytes += value.byteLength;
    told(bytes, of);
  }
  return new Blob(chunks, { type: answer.headers.get('Content-Type') ?? '' });
}
