// The sheet on paper: as it stands on the screen, made as large as the paper takes. Its scale bars stay true.

/** A4 landscape within its margins, in CSS pixels. */
const PAPER = { width: ((297 - 14) / 25.4) * 96, height: ((210 - 14) / 25.4) * 96 };

/** What the paper leaves out. */
const TOOLS = ['.bar', '.status'];

export function fitToPaper(sheet: HTMLElement, drawNow: () => void): void {
  addEventListener('beforeprint', () => {
    const box = sheet.getBoundingClientRect();
    const tools = TOOLS.reduce((sum, name) => sum + (sheet.querySelector(name)?.getBoundingClientRect().height ?? 0), 0);
    const size = { width: box.width, height: box.height - tools };
    sheet.style.setProperty('--print-width', `${size.width}px`);
    sheet.style.setProperty('--print-height', `${size.height}px`);
    sheet.style.setProperty('--print-zoom', String(Math.min(PAPER.width / size.width, PAPER.height / size.height)));
    drawNow();
  });
}
