// From a key to the picture: the text goes to the server, what it changes comes back, and the body takes it over.
//
// One text is on its way at a time. Whatever is typed meanwhile waits as one; an answer to an older text is dropped.

import { Refusal, type Reading } from './api';
import { readBody } from './body';
import type { BodyView } from './body-view';
import { fetchParts, sendDraft, type Draft } from './draft-api';
import { setDraft } from './draft-name';
import type { WorkingCopy } from './working-copy';

/** The hand rests when nothing was edited for this time (ms). */
const REST_MS = 400;

export interface RebuildEvents {
  reading(): Reading;
  /** The body stands as the text says; or cannot, for the reason that the copy holds. */
  rebuilt(draft: Draft): void;
  /** The hand rests after an edit. */
  rested(draft: Draft): void;
  lost(reason: Refusal): void;
}

/** Where the time from a key to the picture goes (ms). */
export interface Figures {
  /** From the key until the answer of the server is here and read. */
  built: number;
  /** Of that, what the server built. */
  server: number;
  /** Until the changed parts are here. */
  fetched: number;
  /** Until they are read. */
  read: number;
  /** Until they stand in the scene: the time from key to scene. */
  scene: number;
  /** The frame that follows, drawn to its end. */
  frame: number;
  parts: number;
  bytes: number;
}

export class Rebuild {
  private busy = false;
  private waiting = false;
  /** Something was edited since the hand rested last. */
  private edited = false;
  private resting: ReturnType<typeof setTimeout> | undefined;
  /** Marks of the parts that are shown, and which of them are shown without their rivets. */
  private held = new Map<string, string>();
  private bare = new Set<string>();
  private loadedAs = '';

  constructor(
    private readonly copy: WorkingCopy,
    private readonly view: BodyView | null,
    private readonly events: RebuildEvents,
  ) {}

  /** The body was loaded anew, from the draft of that name or, without one, from the file. */
  forget(drafted: string): void {
    this.loadedAs = drafted;
    this.held.clear();
    this.bare.clear();
  }

  /** The text is to be built; `edited` if by a hand. */
  async send(edited: boolean): Promise<void> {
    if (edited) {
      clearTimeout(this.resting);
      this.edited = true;
    }
    if (this.busy) {
      this.waiting = true;
      return;
    }
    this.busy = true;
    try {
      do {
        this.waiting = false;
        await this.once();
      } while (this.waiting);
    } finally {
      this.busy = false;
    }
  }

  /** Sends the text again to a server that has forgotten it; false if there is none that could be sent. */
  async again(): Promise<boolean> {
    const { copy } = this;
    if (!copy.isDirty) return false;
    const draft = await sendDraft(this.events.reading(), copy.text);
    setDraft(copy.model, draft.draft);
    return true;
  }

  private async once(): Promise<void> {
    const { copy } = this;
    const { text, touched } = copy;
    const reading = this.events.reading();
    try {
      const draft = await sendDraft(reading, text);
      // A newer text follows.
      if (copy.text !== text) return;
      const built = performance.now();
      copy.answered(draft.fields, draft.problem);
      if (!draft.problem) {
        setDraft(copy.model, copy.isDirty ? draft.draft : '');
        if (!(await this.show(draft, reading, text, touched, built))) return;
      }
      this.events.rebuilt(draft);
      clearTimeout(this.resting);
      // Lists and flat stay as they are, too, while the text cannot be built.
      if (!draft.problem && this.edited) this.resting = setTimeout(() => void this.rest(draft, reading, text), REST_MS);
    } catch (reason) {
      if (!(reason instanceof Refusal)) throw reason;
      this.events.lost(reason);
    }
  }

  /** Brings the scene to the draft, without rivets; false if the text has changed since. */
  private async show(draft: Draft, reading: Reading, text: string, touched: number, built: number): Promise<boolean> {
    const { view, held } = this;
    const marks = new Map(draft.parts.map((part) => [part.id, part.mark]));
    // A body that was just loaded from this text shows what the text makes.
    if (held.size === 0 && this.loadedAs === (this.copy.isDirty ? draft.draft : '')) {
      this.held = marks;
      return true;
    }
    if (!view) return true;
    const changed = [...marks].filter(([id, mark]) => held.get(id) !== mark).map(([id]) => id);
    const gone = [...held.keys()].filter((id) => !marks.has(id));
    const bytes = changed.length > 0 ? await fetchParts(reading, draft.draft, changed, false, true) : null;
    const fetched = performance.now();
    const parts = bytes ? await readBody(bytes) : null;
    const read = performance.now();
    if (this.copy.text !== text) {
      parts?.dispose();
      return false;
    }
    if (parts || gone.length > 0) view.takeParts(parts, gone);
    this.held = marks;
    for (const id of gone) this.bare.delete(id);
    for (const id of changed) this.bare.add(id);
    const scene = performance.now();
    view.afterFrame((frame) => {
      const figures: Figures = {
        built: built - touched,
        server: draft.took_ms,
        fetched: fetched - built,
        read: read - fetched,
        scene: scene - touched,
        frame,
        parts: changed.length,
        bytes: bytes?.byteLength ?? 0,
      };
      document.documentElement.dataset.figures = JSON.stringify(figures);
    });
    return true;
  }

  /** Rivets, and what bends and draws the parts apart, follow when the hand rests. */
  private async rest(draft: Draft, reading: Reading, text: string): Promise<void> {
    const { copy, view, bare } = this;
    if (copy.text !== text) return;
    try {
      if (view && bare.size > 0) {
        const ids = [...bare];
        const name = copy.isDirty ? draft.draft : '';
        const parts = await readBody(await fetchParts(reading, name, ids, reading.rivets, false));
        if (copy.text !== text) {
          parts.dispose();
          return;
        }
        view.takeParts(parts, []);
        bare.clear();
      }
      this.edited = false;
      this.events.rested(draft);
    } catch (reason) {
      if (!(reason instanceof Refusal)) throw reason;
      this.events.lost(reason);
    }
  }
}
