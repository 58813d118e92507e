// Notices above the drawers: what has happened to the file or the server, and what can be done about it.

import { html } from './dom';

export interface Notice {
  id: string;
  text: string;
  /** What can be done: the act and its title. */
  actions: [string, string][];
}

export class Notices {
  private shown = '';

  constructor(
    private readonly host: HTMLElement,
    private readonly act: (name: string) => void,
  ) {}

  /** A notice that stands already is left alone, so that it is read out once and keeps the focus. */
  show(notices: Notice[]): void {
    const key = JSON.stringify(notices);
    if (key === this.shown) return;
    this.shown = key;
    this.host.replaceChildren(
      ...notices.map((notice) =>
        html('div', { class: 'notice', 'data-notice': notice.id }, html('p', {}, notice.text), ...notice.actions.map((own) => this.button(own))),
      ),
    );
  }

  private button([act, title]: [string, string]): HTMLButtonElement {
    const button = html('button', { type: 'button', 'data-act': act }, title);
    button.addEventListener('click', () => this.act(act));
    return button;
  }
}
