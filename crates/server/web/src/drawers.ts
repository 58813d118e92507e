// The drawers beside the sheet: one is open at a time, the title block stays in sight.

import { html } from './dom';

interface Drawer {
  id: string;
  title: string;
}

const DRAWERS: readonly Drawer[] = [
  { id: 'parts', title: 'Parts' },
  { id: 'dimensions', title: 'Sizes' },
  { id: 'file', title: 'Model file' },
  { id: 'output', title: 'Files to make' },
  { id: 'artwork', title: 'Artwork' },
  { id: 'running', title: 'On the curve' },
];

export class Drawers {
  private readonly tabs: HTMLButtonElement[];

  constructor(private readonly column: HTMLElement) {
    for (const panel of column.querySelectorAll<HTMLElement>('.parts, .found')) panel.dataset.drawer = 'parts';
    const list = html('div', { class: 'drawers', role: 'tablist', 'aria-label': 'Drawers' });
    this.tabs = DRAWERS.map(({ id, title }) => {
      const tab = html('button', { type: 'button', role: 'tab', id: `drawer-${id}`, 'data-open': id }, title);
      tab.addEventListener('click', () => this.open(id));
      return tab;
    });
    list.append(...this.tabs);
    list.addEventListener('keydown', (event) => this.key(event));
    column.querySelector('#notices')?.after(list);
    this.open('parts');
  }

  open(id: string): void {
    this.column.dataset.open = id;
    document.documentElement.dataset.drawer = id;
    for (const tab of this.tabs) {
      const on = tab.dataset.open === id;
      tab.setAttribute('aria-selected', String(on));
      tab.tabIndex = on ? 0 : -1;
    }
    for (const panel of this.column.querySelectorAll<HTMLElement>('[data-drawer]')) panel.hidden = panel.dataset.drawer !== id;
    window.dispatchEvent(new CustomEvent('drawer', { detail: id }));
  }

  private key(event: KeyboardEvent): void {
    const at = this.tabs.findIndex((tab) => tab === document.activeElement);
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (at < 0 || step === undefined) return;
    event.preventDefault();
    const next = this.tabs[(at + step + this.tabs.length) % this.tabs.length];
    next?.focus();
    next?.click();
  }
}
