# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

"""What a page is to who does not see it, or has no mouse: lists of what is wrong."""

STOPS_MAX = 60
OPEN = 'document.querySelectorAll("details").forEach(e => e.open = true)'

# Headings, figures and tables as they stand in the page: by rows, and from the left.
ORDER = '''(() => {
    const boxes = [...document.querySelectorAll("h1, h2, h3, table")].map(
        e => [e.textContent.slice(0, 40), e.getBoundingClientRect()]);
    return boxes.slice(1).filter(([, box], i) => box.top < boxes[i][1].top - 1 &&
        box.left < boxes[i][1].right - 1).map(([text]) => text);
})()'''

# The number of what has the focus among what must be reached: what is opened, what is scrolled.
REACHED = '''[...document.querySelectorAll("summary, .scroll")].filter(
    e => e.getClientRects().length > 0).indexOf(document.activeElement)'''
TO_REACH = '''(() => {
    const all = [...document.querySelectorAll("summary, .scroll")].filter(
        e => e.getClientRects().length > 0);
    const needs = e => e.localName === "summary" || e.scrollWidth > e.clientWidth;
    return [all.length, all.flatMap((e, i) => needs(e) ? [i] : []),
            [...document.querySelectorAll("*")].filter(e => e.scrollWidth > e.clientWidth + 1 &&
                /auto|scroll/.test(getComputedStyle(e).overflowX) && e.tabIndex < 0).length];
})()'''


def headings(tree):
    levels = [node.properties.get('level') for node in tree if node.role == 'heading']
    faults = [] if levels[:1] == [1] and levels.count(1) == 1 else [f'headings: {levels}']
    return faults + [f'a heading of level {b} after one of level {a}'
                     for a, b in zip(levels, levels[1:]) if b > a + 1]


def landmarks(tree):
    mains = [node for node in tree if node.role == 'main']
    told = [node for node in tree if node.role in ('heading', 'figure', 'table', 'paragraph')]
    faults = [] if len(mains) == 1 else [f'{len(mains)} main parts']
    faults += [f'outside the main part: {node.name}' for node in told if not node.within('main')]
    return faults + ([] if tree[0].role == 'RootWebArea' and tree[0].name else ['no title'])


def figures(tree, count):
    shown = [node for node in tree if node.role == 'figure']
    images = [node for node in tree if node.role in ('image', 'img')]
    names = [node.name for node in shown]
    faults = [] if len(shown) == len(images) == count else [
        f'{count} figures, of which {len(shown)} are told, with {len(images)} images']
    if len(set(names)) != len(names):
        faults.append(f'figures of one name: {names}')
    titles = {node.name for node in tree if node.role == 'heading'}
    faults += [f'a figure that is not called as its heading: {name}' for name in names
               if name not in titles]
    return faults + [f'an image without name, text or figure: {node.name}' for node in images
                     if not node.name or len(node.description) < 15 or not node.within('figure')]


def tables(tree, count):
    shown = [node for node in tree if node.role == 'table']
    names = [node.name for node in shown]
    faults = [] if len(shown) == count else [f'{count} tables, of which {len(shown)} are told']
    if len(set(names)) != len(names) or '' in names:
        faults.append(f'tables of one name, or of none: {names}')
    for table in shown:
        heads = [node for node in tree if node.role == 'columnheader' and table in node.above]
        if len(heads) < 2 or any(not node.name for node in heads):
            faults.append(f'{table.name}: columns {[node.name for node in heads]}')
        regions = table.within('region')
        if len(regions) != 1 or not regions[0].name or not regions[0].properties.get('focusable'):
            faults.append(f'{table.name}: not in a part that is named and can be reached')
    return faults


def keyboard(browser):
    count, needed, hidden = browser.run(TO_REACH)
    reached, order = set(), []
    for _ in range(min(STOPS_MAX, 2 * count + 4)):
        browser.press_tab()
        at = browser.run(REACHED)
        if at >= 0 and at not in reached:
            order.append(at)
        reached.add(at)
    faults = [f'{hidden} parts can be scrolled by mouse alone'] if hidden else []
    if order != sorted(order):
        faults.append(f'the keyboard goes from part to part in the order {order}')
    return faults + [f'the keyboard does not reach part {i} of {count}' for i in needed
                     if i not in reached and i < STOPS_MAX - 4]


def faults(browser, path):
    """On a phone, where tables scroll, with all that can be opened open."""
    browser.show(path, 360)
    browser.run(OPEN)
    tree = browser.tree()
    count = browser.run('document.querySelectorAll("figure").length')
    seen = browser.run('document.querySelectorAll("table").length')
    return {'headings and the main part': headings(tree) + landmarks(tree),
            'figures have names': figures(tree, count),
            'tables have names and heads': tables(tree, seen),
            'is read in the order it is seen': browser.run(ORDER),
            'is all in reach of the keyboard': keyboard(browser)}
