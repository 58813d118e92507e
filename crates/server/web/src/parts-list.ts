// The list of parts: a tree of sub-assemblies and their plates, walked with the arrow keys.

import { html, mm } from './dom';

export interface ListedPart {
  id: string;
  title: string;
  /** Thickness (mm), or nothing for a turned or cast fitting. */
  thickness_mm: number | null;
  findings: number;
}

export interface ListedAssembly {
  id: string;
  title: string;
  parts: ListedPart[];
}

export class PartsList {
  private readonly closed = new Set<string>();
  private picked = '';

  constructor(
    private readonly tree: HTMLElement,
    private readonly pickedByList: (id: string) => void,
  ) {
    // Tables that grow take room from the list: the picked row stays in sight.
    new ResizeObserver(() => {
      const item = this.pickedItem();
      if (item) this.reveal(item);
    }).observe(tree);
    tree.addEventListener('keydown', (event) => this.key(event));
    tree.addEventListener('click', (event) => {
      const item = (event.target as Element).closest<HTMLElement>('[role="treeitem"]');
      if (item) this.enter(item);
    });
  }

  fill(assemblies: ListedAssembly[]): void {
    const hadFocus = this.tree.contains(document.activeElement);
    const focused = this.focusItem()?.dataset.key;
    let number = 0;
    this.tree.replaceChildren(
      ...assemblies.map((assembly) => {
        const rows = assembly.parts.map((part) => this.row(part, (number += 1)));
        const item = html(
          'li',
          { role: 'treeitem', 'aria-expanded': String(!this.closed.has(assembly.id)), tabindex: '-1', 'data-assembly': assembly.id },
          html('span', { class: 'assembly' }, assembly.title),
          html('ul', { role: 'group' }, ...rows),
        );
        item.dataset.key = `assembly ${assembly.id}`;
        item.setAttribute('aria-label', `${assembly.title}, ${assembly.parts.length} parts`);
        return item;
      }),
    );
    this.select(this.picked);
    const again = this.items().find((item) => item.dataset.key === focused) ?? this.pickedItem() ?? this.items()[0];
    if (again) this.rove(again, hadFocus);
  }

  select(id: string): void {
    this.picked = id;
    for (const item of this.tree.querySelectorAll<HTMLElement>('[data-part]')) {
      item.setAttribute('aria-selected', String(item.dataset.part === id));
    }
    const item = this.pickedItem();
    if (!item) return;
    const assembly = item.parentElement?.closest<HTMLElement>('[role="treeitem"]');
    if (assembly) this.open(assembly, true);
    this.rove(item, false);
    this.reveal(item);
  }

  focus(): void {
    this.focusItem()?.focus();
  }

  private row(part: ListedPart, number: number): HTMLLIElement {
    const sheet = part.thickness_mm === null ? 'fitting' : mm(part.thickness_mm);
    const item = html(
      'li',
      { role: 'treeitem', 'aria-selected': 'false', tabindex: '-1', 'data-part': part.id },
      html('span', { class: 'number' }, String(number)),
      html('span', { class: 'title' }, part.title),
      part.findings > 0 ? html('span', { class: 'flag' }, `${part.findings} finding${part.findings > 1 ? 's' : ''}`) : null,
      html('span', { class: 'sheet-metal' }, sheet),
    );
    item.dataset.key = `part ${part.id}`;
    const metal = part.thickness_mm === null ? 'fitting, no flat' : `${sheet} mm thick`;
    const flag = part.findings > 0 ? `, ${part.findings} finding${part.findings > 1 ? 's' : ''}` : '';
    item.setAttribute('aria-label', `${number}, ${part.title}, ${metal}${flag}`);
    return item;
  }

  private pickedItem(): HTMLElement | null {
    return this.picked ? this.tree.querySelector<HTMLElement>(`[data-part="${CSS.escape(this.picked)}"]`) : null;
  }

  /** Items that can be walked to: those of closed sub-assemblies cannot. */
  private items(): HTMLElement[] {
    return [...this.tree.querySelectorAll<HTMLElement>('[role="treeitem"]')].filter(
      (item) => !item.parentElement?.closest('[aria-expanded="false"]'),
    );
  }

  private focusItem(): HTMLElement | undefined {
    return this.items().find((item) => item.tabIndex === 0);
  }

  private rove(item: HTMLElement, focus: boolean): void {
    for (const other of this.tree.querySelectorAll<HTMLElement>('[tabindex="0"]')) other.tabIndex = -1;
    item.tabIndex = 0;
    if (focus) item.focus();
  }

  /** Scrolls the list, and only the list. */
  private reveal(item: HTMLElement): void {
    const box = item.getBoundingClientRect();
    const room = this.tree.getBoundingClientRect();
    if (box.top < room.top) this.tree.scrollTop += box.top - room.top;
    else if (box.bottom > room.bottom) this.tree.scrollTop += box.bottom - room.bottom;
  }

  private open(assembly: HTMLElement, open: boolean): void {
    assembly.setAttribute('aria-expanded', String(open));
    const id = assembly.dataset.assembly ?? '';
    if (open) this.closed.delete(id);
    else this.closed.add(id);
  }

  private enter(item: HTMLElement): void {
    this.rove(item, true);
    const part = item.dataset.part;
    if (part) this.pickedByList(part);
    else this.open(item, item.getAttribute('aria-expanded') === 'false');
  }

  private key(event: KeyboardEvent): void {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const items = this.items();
    const current = this.focusItem();
    if (!current) return;
    const at = items.indexOf(current);
    const expanded = current.getAttribute('aria-expanded');
    const go = (item: HTMLElement | null | undefined): void => {
      if (!item) return;
      this.rove(item, true);
      this.reveal(item);
    };
    const actions: Record<string, () => void> = {
      ArrowDown: () => go(items[at + 1]),
      ArrowUp: () => go(items[at - 1]),
      Home: () => go(items[0]),
      End: () => go(items[items.length - 1]),
      ArrowRight: () => (expanded === 'false' ? this.open(current, true) : expanded === 'true' && go(items[at + 1])),
      ArrowLeft: () =>
        expanded === 'true' ? this.open(current, false) : go(current.parentElement?.closest<HTMLElement>('[role="treeitem"]')),
      Enter: () => this.enter(current),
      ' ': () => this.enter(current),
    };
    const action = actions[event.key];
    if (!action) return;
    event.preventDefault();
    event.stopPropagation();
    action();
  }
}
