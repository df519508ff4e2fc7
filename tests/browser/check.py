# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

"""check.py PROGRAM SHOP OUT: looks at the pages of the sample logs in the folder SHOP, and of logs
made for this, with Chromium. Pages, screenshots and PDFs are left in the folder OUT to be looked
at. Prints what it found by the Test Anything Protocol.
"""

import os
import re
import subprocess
import sys

import logs
import reader
from browser import Browser

HERE = os.path.dirname(os.path.abspath(__file__))
NOW = '2026-11-02T06:00:00Z'
WIDTHS = (360, 800, 1600)
PAPERS = {'A4': (8.27, 11.69), 'letter': (8.5, 11)}
# What a person must have read within five seconds: on the first screen of 1,600 by 1,000.
TOLD = {'mill-1': ('OK', 'nothing stands out'),
        'mill-2': ('RECALIBRATE', 'At seat 180° positions are off'),
        'hmc-1': ('RECALIBRATE', 'Moved steadily: length moves steadily'),
        'hmc-2': ('RECALIBRATE', 'Collision since the run')}
SAID = {'runs-0': 'holds no calibration run', 'runs-7': 'fewer than 8 runs',
        'runs-10000': 'of 10000 points are drawn', 'no-limit': 'No limit is set',
        'lobed': 'Deviations are magnified', 'three-tips': '3 need a calibration', 'hostile': logs.HOSTILE.replace('\u202e', '\\u{202E}')}

READ = ('runs-0', 'runs-1', 'many-baselines', 'hostile', 'lobed', 'no-limit', 'three-tips')

count = failed = 0


def report(name, faults):
    global count, failed
    count += 1
    failed += bool(faults)
    print(('not ok' if faults else 'ok'), count, '-', name, flush=True)
    for fault in faults:
        print('#', fault, flush=True)


def write_page(program, folder, name, out, *options):
    """The page's path; it is written twice, and must be the same."""
    path = os.path.join(out, name + '.html')
    command = [program, 'report', name, '--log', folder, *options]
    subprocess.run([*command, '-o', path, '--force'], check=True, stderr=subprocess.DEVNULL)
    again = subprocess.run([*command, '-o', '-'], check=True, stdout=subprocess.PIPE).stdout
    with open(path, 'rb') as file:
        report(f'{name}: the same log gives the same page', [] if file.read() == again else ['no'])
    return path


def strangers(browser):
    """Console messages, and requests beside the page itself."""
    faults = []
    for event in browser.events:
        method, told = event['method'], event['params']
        if method in ('Log.entryAdded', 'Runtime.consoleAPICalled', 'Runtime.exceptionThrown'):
            faults.append(f'{method}: {told}')
        if method == 'Network.requestWillBeSent' and told['type'] != 'Document':
            faults.append('asked for ' + told['request']['url'])
    return faults


def look(browser, path, name, out, measure, widths):
    for dark in (False, True):
        scheme = 'dark' if dark else 'light'
        for width in widths:
            browser.show(path, width, dark)
            report(f'{name}: {width} pixels, {scheme}: nothing is asked for, nothing is said',
                   strangers(browser))
            report(f'{name}: {width} pixels, {scheme}: whole, apart, in contrast',
                   browser.run(measure))
            browser.screenshot(os.path.join(out, f'{name}-{width}-{scheme}.png'))


def first_screen(browser):
    return browser.run('''[...document.querySelectorAll("h1, .why, .told li")].filter(
        e => e.getBoundingClientRect().bottom < 1000).map(e => e.textContent).join("\\n")''')


def read_aloud(browser, path, name):
    for what, faults in reader.faults(browser, path).items():
        report(f'{name}: {what}', faults)


def print_figures(browser, path, name, out, measure):
    """Each figure must begin and end on one page, less its table: a copy carries marks there."""
    with open(path, encoding='utf-8') as file:
        text = file.read()
    figures = re.findall('<figure id="([a-z0-9-]+)-figure"', text)
    report(f'{name}: on paper: every figure has its name',
           [] if len(figures) == text.count('<figure') and (figures or name == 'runs-0')
           else [f'of {text.count("<figure")} figures only {figures}'])
    text = re.sub('(<figure id="([a-z0-9-]+)-figure"[^>]*>\n<div class="drawn">)(.*?)(</div>\n<details>)',
                  r'\1<span>begin\2</span>\3<span>end\2</span>\4', text, flags=re.DOTALL)
    browser.show(path, 690, media='print')
    report(f'{name}: on paper: whole, apart, in contrast', browser.run(measure))
    marked = os.path.join(out, 'marked.html')
    with open(marked, 'w', encoding='utf-8') as file:
        file.write(text)
    for paper, size in PAPERS.items():
        pdf = os.path.join(out, f'{name}-{paper}.pdf')
        browser.show(marked)
        browser.pdf(pdf, *size)
        pages = subprocess.run(['pdftotext', '-layout', pdf, '-'], check=True,
                               stdout=subprocess.PIPE).stdout.decode().split('\f')
        on = lambda mark: [i for i, page in enumerate(pages) if mark in page.split()]
        faults = [f'{figure}: begins on {on("begin" + figure)}, ends on {on("end" + figure)}'
                  for figure in figures
                  if len(on('begin' + figure)) != 1 or on('begin' + figure) != on('end' + figure)]
        report(f'{name}: on {paper} no figure is broken', faults)
        browser.show(path)
        browser.pdf(pdf, *size)
    os.remove(marked)


def look_at_index(browser, program, shop, name, out, measure):
    folder = os.path.join(out, name + '-pages')
    options = ['--as-of', NOW] if name == 'index' else []
    subprocess.run([program, 'report', '--log', shop, '-o', folder, '--force', *options],
                   check=True, stderr=subprocess.DEVNULL)
    path = os.path.join(folder, 'index.html')
    look(browser, path, name, out, measure, WIDTHS)
    browser.show(path, 1600)
    rows = browser.run('document.querySelectorAll("tr.reason").length')
    told = browser.run('document.querySelector("h1").textContent')
    want = {'index': (4, '3 of 4 need a calibration'), 'sixty': (60, '20 of 60 need a calibration')}
    report(f'{name}: a row a probe, and how many are bad',
           [] if (rows, told) == want[name] else [f'{rows} rows: {told}'])
    pdf = os.path.join(out, name + '.pdf')
    browser.pdf(pdf, *PAPERS['A4'])
    pages = subprocess.run(['pdftotext', '-layout', pdf, '-'], check=True,
                           stdout=subprocess.PIPE).stdout.decode().count('\f')
    report(f'{name}: on paper', [] if pages <= rows // 20 + 1 else [f'{pages} pages'])


def look_at_all(browser, program, shop, out):
    with open(os.path.join(HERE, 'measure.js'), encoding='utf-8') as file:
        measure = file.read()
    made = os.path.join(out, 'logs')
    os.makedirs(made, exist_ok=True)
    options = logs.write_all(made)
    for name, (verdict, told) in TOLD.items():
        path = write_page(program, shop, name, out, '--as-of', NOW)
        look(browser, path, name, out, measure, WIDTHS)
        browser.show(path, 1600)
        screen = first_screen(browser)
        report(f'{name}: told on the first screen',
               [] if screen.startswith(verdict) and told in screen else [screen])
        print_figures(browser, path, name, out, measure)
        read_aloud(browser, path, name)
    look_at_index(browser, program, shop, 'index', out, measure)
    look_at_index(browser, program, logs.write_shop(os.path.join(out, 'sixty')), 'sixty', out,
                  measure)
    for name in options:
        path = write_page(program, os.path.join(made, name), name, out, *options[name])
        look(browser, path, name, out, measure, (360, 1600))
        if name in SAID:
            shown = browser.run('document.body.innerText')
            report(f'{name}: says so', [] if SAID[name] in shown else [shown[:2000]])
        if name in ('many-baselines', 'lobed', 'runs-0', 'three-tips'):
            print_figures(browser, path, name, out, measure)
        if name in READ:
            read_aloud(browser, path, name)
        size = os.path.getsize(path)
        report(f'{name}: below 2 MB', [f'{size} bytes'] if size >= 2e6 else [])


def main(program, shop, out):
    browser = Browser()
    try:
        look_at_all(browser, program, shop, out)
    finally:
        browser.close()
    print(f'1..{count}')
    return 1 if failed else 0


if __name__ == '__main__':
    sys.exit(main(*sys.argv[1:]))
