/** A page of the site as a part of one document. */
export interface DocumentPart {
  readonly title: string;
  readonly kicker: string;
  /** Classes of its body, which the style sheet goes by. */
  readonly kind: string;
  /** For the running head. */
  readonly campaign: string;
  readonly name: string;
  readonly data: string;
  readonly html: string;
}

/**
 * Takes the content of the page that is open, its ids and links fit for a document with others. Runs in the browser, so it
 * refers to nothing outside itself.
 *
 * @param at which of the parts this is, and the addresses of all
 */
export function takePart({ i, addresses }: { i: number; addresses: readonly string[] }): DocumentPart {
  const main = document.querySelector('main')!;
  const own = `part-${i + 1}-`;
  for (const element of main.querySelectorAll('*')) {
    if (element.id) element.id = own + element.id;
    for (const name of ['for', 'aria-labelledby', 'aria-describedby', 'aria-controls', 'headers'])
      if (element.hasAttribute(name))
        element.setAttribute(
          name,
          element
            .getAttribute(name)!
            .split(' ')
            .map((id) => own + id)
            .join(' '),
        );
    for (const { name, value } of [...element.attributes])
      if (value.includes('url(#')) element.setAttribute(name, value.replaceAll('url(#', `url(#${own}`));
  }
  for (const link of main.querySelectorAll<HTMLAnchorElement>('a[href]')) {
    const [address = '', anchor] = link.href.split('#');
    const part = addresses.indexOf(address);
    if (part < 0) link.removeAttribute('href');
    else link.setAttribute('href', anchor ? `#part-${part + 1}-${anchor}` : `#part-${part + 1}`);
  }
  const text = (selector: string): string => document.querySelector(selector)?.textContent?.trim() ?? '';
  const [campaign = '', name = ''] = text('.running .who').split(' · ');
  return {
    title: text('h1'),
    kicker: text('.kicker'),
    kind: document.body.className,
    campaign,
    name,
    data: text('.running .date'),
    html: main.innerHTML,
  };
}

/** Sets the parts, one behind the other, behind a page of contents, in place of the page that is open. */
export function joinParts(parts: readonly (DocumentPart & { readonly from: number })[]): void {
  const element = (tag: string, text: string, kind = ''): HTMLElement => {
    const made = document.createElement(tag);
    made.textContent = text;
    if (kind) made.className = kind;
    return made;
  };
  const quoted = (text: string): string => JSON.stringify(text);
  const heads = document.createElement('style');
  heads.textContent = parts
    .map(
      ({ campaign, name, data }, i) =>
        `@page part-${i + 1}{@top-left{content:${quoted(`${campaign} · ${name}`)}}@top-right{content:${quoted(data)}}}.part-${i + 1}{page:part-${i + 1};break-before:page}`,
    )
    .join('');
  const contents = document.createElement('section');
  contents.className = 'contents';
  contents.append(element('p', `${parts[0]?.campaign ?? ''} · ${document.title.split(' · ')[0] ?? ''}`, 'kicker'));
  contents.append(element('h1', 'Contents'));
  const list = document.createElement('ol');
  parts.forEach(({ kicker, title, from }, i) => {
    const item = document.createElement('li');
    const link = document.createElement('a');
    link.href = `#part-${i + 1}`;
    link.append(element('span', kicker, 'what'), element('strong', title));
    item.append(link, element('span', String(from), 'at'));
    list.append(item);
  });
  contents.append(list);
  document.body.className = 'document';
  document.body.replaceChildren(contents);
  parts.forEach(({ kind, html }, i) => {
    const part = document.createElement('article');
    part.id = `part-${i + 1}`;
    part.className = `part-${i + 1} ${kind}`;
    const main = document.createElement('div');
    main.className = 'main';
    main.innerHTML = html;
    part.append(main);
    document.body.append(part);
  });
  document.head.append(heads);
}
