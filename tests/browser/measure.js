// SPDX-FileCopyrightText: 2026 the reseat contributors
// SPDX-License-Identifier: MIT

// What is wrong with a page as it stands, as a list of sentences. Run in the page from outside: the
// page itself allows no script.
(() => {
    const faults = [];
    const name = element => `${element.closest('figure')?.id ?? ''} <${element.localName} ` +
        `${element.getAttribute('class') ?? ''}> ${element.textContent.trim().slice(0, 40)}`;
    const shown = element => element.getClientRects().length > 0 &&
        getComputedStyle(element).visibility === 'visible';

    const drawn = figure => figure.querySelectorAll(
        'svg[role=img] text, svg[role=img] circle, svg[role=img] line, svg[role=img] rect, ' +
        'svg[role=img] path, svg[role=img] use');
    for (const figure of document.querySelectorAll('figure')) {
        const frame = figure.getBoundingClientRect();
        const image = figure.querySelector('svg[role=img]').getBoundingClientRect();
        if (!(image.width > 100 && image.height > 100 && frame.width > 200))
            faults.push(`${figure.id} has no size: ${image.width} by ${image.height}`);
        for (const part of drawn(figure)) {
            const box = part.getBoundingClientRect();
            if (shown(part) && (box.left < frame.left - 1 || box.right > frame.right + 1 ||
                                box.top < frame.top - 1 || box.bottom > frame.bottom + 1))
                faults.push(`outside its frame: ${name(part)}`);
            if (shown(part) && part.localName === 'text' &&
                (box.top < image.top - 1 || box.bottom > image.bottom + 1))
                faults.push(`above or below its picture: ${name(part)}`);
        }
    }

    // Boxes of texts have some air above and below the letters.
    for (const figure of document.querySelectorAll('figure')) {
        const boxes = [...figure.querySelectorAll('svg[role=img] text')].filter(shown).map(text => {
            const box = text.getBoundingClientRect();
            const air = box.height * 0.15;
            return {text, left: box.left, right: box.right, top: box.top + air,
                    bottom: box.bottom - air};
        });
        for (let i = 0; i < boxes.length; i++)
            for (let k = i + 1; k < boxes.length; k++) {
                const a = boxes[i], b = boxes[k];
                if (a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom)
                    faults.push(`overlap: ${name(a.text)} and ${name(b.text)}`);
            }
    }

    const wide = document.documentElement.scrollWidth;
    if (wide > innerWidth)
        faults.push(`the page is ${wide} wide in a window of ${innerWidth}`);

    // Contrast as WCAG 2 counts it, of texts 4.5 and of lines and marks 3, against what is below.
    const channel = c => (c /= 255) <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
    const parse = color => (color.match(/[\d.]+/g) ?? []).map(Number);
    const light = ([r, g, b]) => 0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b);
    const contrast = (a, b) => {
        const [x, y] = [light(a), light(b)].sort((p, q) => q - p);
        return (x + 0.05) / (y + 0.05);
    };
    const ground = element => {
        for (let e = element; e; e = e.parentElement) {
            const color = parse(getComputedStyle(e).backgroundColor);
            if (color.length === 3 || color[3] === 1)
                return color;
        }
        return [255, 255, 255];
    };
    const mix = (color, opacity, below) => color.slice(0, 3).map(
        (c, i) => c * opacity * (color[3] ?? 1) + below[i] * (1 - opacity * (color[3] ?? 1)));
    const judge = (element, color, least) => {
        const below = ground(element);
        const found = contrast(mix(parse(color), +getComputedStyle(element).opacity, below), below);
        if (found < least)
            faults.push(`contrast ${found.toFixed(2)}: ${name(element)}`);
    };
    for (const element of document.querySelectorAll('body *')) {
        const own = [...element.childNodes].some(n => n.nodeType === 3 && n.data.trim());
        const style = getComputedStyle(element);
        if (!shown(element) || ['title', 'desc'].includes(element.localName))
            continue;
        if (own)
            judge(element, element.namespaceURI.endsWith('svg') ? style.fill : style.color, 4.5);
        else if (/^(line|path|circle|rect|use)$/.test(element.localName) &&
                 !element.matches('.possible, .band')) {
            const what = element.localName === 'use'
                ? document.querySelector(element.getAttribute('href')) : element;
            const paint = getComputedStyle(what);
            judge(element, paint.stroke !== 'none' ? paint.stroke : paint.fill, 3);
        }
    }

    // What a reader who does not see the figures has.
    for (const image of document.querySelectorAll('svg[role=img]')) {
        const told = ['aria-labelledby', 'aria-describedby'].map(
            by => document.getElementById(image.getAttribute(by))?.textContent.trim() ?? '');
        const label = image.getAttribute('aria-label') ?? '';
        if (label.length < 15 && told.some(text => text.length < 5))
            faults.push(`nothing is told of ${name(image)}`);
    }
    for (const figure of document.querySelectorAll('figure'))
        if (!figure.querySelector('figcaption h3') || !figure.querySelector('details tbody tr td'))
            faults.push(`no caption or no data: ${figure.id}`);
    const ids = [...document.querySelectorAll('[id]')].map(element => element.id);
    if (new Set(ids).size !== ids.length)
        faults.push('an id is there twice');
    if (document.querySelectorAll('h1').length !== 1 || document.documentElement.lang !== 'en')
        faults.push('no single heading, or no language');

    // Nothing but what the page is made of; of foreign text nothing became an element.
    const known = new Set(('html head meta title style body main nav a p b span h1 h2 h3 div dl dt dd small ul ' +
        'li figure figcaption details summary table thead tbody tr th td s section svg desc defs ' +
        'path circle line rect text use').split(' '));
    for (const element of document.querySelectorAll('*'))
        if (!known.has(element.localName) || [...element.attributes].some(
                a => a.name.startsWith('on') || (a.name === 'href' && !/^(#|[a-z0-9][a-z0-9._-]*\.html$)/.test(a.value))))
            faults.push(`not ours: ${element.outerHTML.slice(0, 80)}`);

    // Shape and number, not colour alone: of each flagged run that is drawn a mark.
    for (const id of ['length', 'x', 'y', 'ball', 'stylus']) {
        const figure = document.getElementById(`${id}-figure`);
        const beyond = [...figure?.querySelectorAll('details td:nth-child(4)') ?? []]
            .filter(cell => cell.textContent.includes('beyond')).length;
        const over = figure?.querySelectorAll('svg[role=img] use[href="#over"]').length;
        if (figure && over !== beyond)
            faults.push(`${id}: ${over} marks of ${beyond} moving ranges beyond their limit`);
        for (const [shape, flag] of [['beyond', 'beyond-3-sigma'], ['four', 'four-of-five']]) {
            const marks = figure?.querySelectorAll(`svg[role=img] use[href="#${shape}"]`).length;
            const rows = [...figure?.querySelectorAll('details td:last-child') ?? []]
                .filter(cell => cell.textContent.trim() === flag).length;
            if (figure && marks !== rows)
                faults.push(`${id}: ${marks} marks of ${rows} runs ${flag}`);
        }
    }
    return [...new Set(faults)].slice(0, 12);
})()
