import { type ComponentChild, render } from 'preact';
import { act } from 'preact/test-utils';
import { afterEach } from 'vitest';

const mounted: HTMLElement[] = [];

/** Renders into a fresh element of the document; it is taken away after the test. */
export async function show(what: ComponentChild): Promise<HTMLElement> {
  const root = document.createElement('div');
  document.body.append(root);
  mounted.push(root);
  await act(async () => {
    render(what, root);
  });
  return root;
}

/** Lets answers arrive and effects run. */
export async function settle(turns = 5): Promise<void> {
  for (let i = 0; i < turns; i++) {
    await act(async () => {
      await new Promise((resolve) => setTimeout(resolve, 0));
    });
  }
}

/** Types into a field as a person would, letter for letter taken together. */
export async function type(field: Element | null, text: string): Promise<void> {
  if (!(field instanceof HTMLInputElement || field instanceof HTMLTextAreaElement))
    throw new Error('no field to type in');
  await act(async () => {
    field.value = text;
    field.dispatchEvent(new Event('input', { bubbles: true }));
  });
}

export async function click(element: Element | null | undefined): Promise<void> {
  if (!(element instanceof HTMLElement)) throw new Error('nothing to click on');
  await act(async () => {
    element.click();
  });
}

/** The button or link with this text. */
export function byText(root: Element, text: string): Element | null {
  return [...root.querySelectorAll('button, a, summary')].find((one) => one.textContent?.trim() === text) ?? null;
}

/** All text of an element, with single spaces. */
export function textOf(element: Element | null): string {
  return (element?.textContent ?? '').replace(/[\s\u202f]+/g, ' ').trim();
}

afterEach(() => {
  for (const root of mounted.splice(0)) {
    render(null, root);
    root.remove();
  }
});
