// The instruments that lie on the sheet: a row of buttons, and a tray for each that has settings.

import { html } from './dom';

export interface Instrument {
  id: string;
  title: string;
  /** What it is for, in a line. */
  says: string;
  tray?: HTMLElement;
  /** Put to hand, or put down. */
  used(on: boolean): void;
}

export class Instruments {
  private readonly all = new Map<string, { instrument: Instrument; button: HTMLButtonElement }>();

  constructor(
    private readonly row: HTMLElement,
    private readonly trays: HTMLElement,
  ) {}

  add(instrument: Instrument): void {
    const { id, title, says, tray } = instrument;
    const button = html('button', { type: 'button', id: `use-${id}`, title: says, 'aria-pressed': 'false' }, title);
    if (tray) {
      tray.id = `tray-${id}`;
      tray.classList.add('tray');
      tray.setAttribute('role', 'group');
      tray.setAttribute('aria-label', title);
      tray.hidden = true;
      button.setAttribute('aria-controls', tray.id);
      tray.addEventListener('keydown', (event) => {
        if (event.key !== 'Escape') return;
        event.stopPropagation();
        this.use(id, false);
        button.focus();
      });
      this.trays.append(tray);
    }
    button.addEventListener('click', () => this.use(id, !this.inUse(id)));
    this.row.append(button);
    this.all.set(id, { instrument, button });
  }

  inUse(id: string): boolean {
    return this.all.get(id)?.button.getAttribute('aria-pressed') === 'true';
  }

  use(id: string, on: boolean): void {
    const found = this.all.get(id);
    if (!found || this.inUse(id) === on) return;
    found.button.setAttribute('aria-pressed', String(on));
    if (found.instrument.tray) found.instrument.tray.hidden = !on;
    found.instrument.used(on);
  }
}
