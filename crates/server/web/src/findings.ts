import type { Finding } from './api';
import { html } from './dom';

const ORDER = { error: 0, warning: 1, note: 2 } as const;

/** "1 error, 2 warnings": what is not there is not counted up. */
export function countWords(findings: Finding[]): string {
  const count = (severity: Finding['severity']): string | null => {
    const n = findings.filter((finding) => finding.severity === severity).length;
    return n === 0 ? null : `${n} ${severity}${n > 1 ? 's' : ''}`;
  };
  return [count('error'), count('warning'), count('note')].filter((part) => part !== null).join(', ') || 'none';
}

export function fillFindings(list: HTMLElement, findings: Finding[], pick: (plate: string) => void): void {
  const sorted = [...findings].sort((a, b) => ORDER[a.severity] - ORDER[b.severity]);
  list.replaceChildren(
    ...sorted.map((finding) => {
      const plate = finding.at?.plate;
      const severity = html('strong', { class: 'severity' }, finding.severity);
      const sentence = html('span', {}, finding.sentence);
      const path = html('code', { title: `rule: ${finding.rule}` }, finding.path);
      if (!plate) return html('li', { class: finding.severity }, severity, ' ', sentence, ' ', path);
      const button = html('button', { type: 'button', class: 'plain' }, severity, ' ', sentence, ' ', path);
      button.addEventListener('click', () => pick(plate));
      return html('li', { class: finding.severity }, button);
    }),
  );
}
