// The pen: of several tabs on one model one may edit. The browser hands it on when a tab is closed or dies.

export interface PenEvents {
  /** This tab may edit, or may no longer. */
  held(has: boolean): void;
}

export class Pen {
  private model = '';
  private letGo: (() => void) | null = null;
  private has = false;

  constructor(private readonly events: PenEvents) {}

  get isHeld(): boolean {
    return this.has;
  }

  /** Asks for the pen of a model; gives back the one of another. */
  async take(model: string): Promise<void> {
    if (model === this.model) return;
    this.drop();
    this.model = model;
    // Without locks (a page from another machine, without https) a save is still refused when the file has changed.
    if (!navigator.locks) return this.hold(true);
    const free = await this.ask(model, { ifAvailable: true });
    if (free || this.model !== model) return;
    this.hold(false);
    // Waits in line, so that the pen comes here when the other tab is closed.
    void this.ask(model, {});
  }

  /** Takes the pen from the tab that has it. */
  async seize(): Promise<void> {
    if (navigator.locks) await this.ask(this.model, { steal: true });
  }

  private ask(model: string, options: LockOptions): Promise<boolean> {
    return new Promise((answer) => {
      navigator.locks
        .request(`platework pen ${model}`, options, (lock) => {
          if (!lock || this.model !== model) {
            answer(false);
            return undefined;
          }
          this.hold(true);
          answer(true);
          return new Promise<void>((done) => (this.letGo = done));
        })
        .catch(() => {
          // Another tab seized it; when that is closed, the pen comes back.
          answer(false);
          if (this.model !== model) return;
          this.hold(false);
          void this.ask(model, {});
        });
    });
  }

  private hold(has: boolean): void {
    if (has === this.has) return;
    this.has = has;
    this.events.held(has);
  }

  private drop(): void {
    this.letGo?.();
    this.letGo = null;
    this.hold(false);
  }
}
