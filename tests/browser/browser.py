# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

"""Chromium without a window, driven by its debugging protocol over two pipes."""

import base64
import fcntl
import json
import os
import select
import shutil
import subprocess
import tempfile
import time

FLAGS = [
    '--headless', '--disable-gpu', '--disable-quic', '--no-first-run', '--hide-scrollbars',
    '--disable-background-networking', '--disable-component-update', '--disable-sync',
    '--disable-extensions', '--disable-default-apps', '--remote-debugging-pipe']
ANSWER_SECONDS = 180 # a busy machine is slow to paint
PICTURE_HEIGHT = 12000 # below it a long page holds records alone


class Told:
    """A node of the accessibility tree: role, name, description, properties, the nodes above."""

    def __init__(self, node, above):
        self.role, self.name, self.description = (
            str(node.get(key, {}).get('value', '')).strip() for key in
            ('role', 'name', 'description'))
        self.properties = {p['name']: p['value'].get('value') for p in node.get('properties', [])}
        self.above = above

    def within(self, role):
        return [node for node in self.above if node.role == role]


class Browser:
    """One browser with one page; events that are not waited for are kept in `events`."""

    def __init__(self):
        self.profile = tempfile.mkdtemp()
        from_us, self.write = os.pipe()
        self.read, to_us = os.pipe()
        # The child is to find its ends as 3 and 4, which are taken here, so nothing else uses them.
        ends = [fcntl.fcntl(end, fcntl.F_DUPFD, 10) for end in (from_us, to_us)]

        def place_ends():
            os.dup2(ends[0], 3)
            os.dup2(ends[1], 4)

        command = ['chromium', *FLAGS, '--user-data-dir=' + self.profile, 'about:blank']
        if os.geteuid() == 0:
            command.insert(1, '--no-sandbox')
        self.process = subprocess.Popen(
            command, preexec_fn=place_ends, pass_fds=(3, 4), stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        for end in (from_us, to_us, *ends):
            os.close(end)
        self.rest, self.number, self.session, self.events = b'', 0, None, []
        targets = self.call('Target.getTargets')['targetInfos']
        page = next(target for target in targets if target['type'] == 'page')
        self.session = self.call('Target.attachToTarget', targetId=page['targetId'],
                                 flatten=True)['sessionId']
        for domain in ('Page', 'Runtime', 'Network', 'Log', 'Accessibility'):
            self.call(domain + '.enable')

    def close(self):
        self.process.terminate()
        self.process.wait(30)
        os.close(self.write)
        os.close(self.read)
        shutil.rmtree(self.profile, ignore_errors=True)

    def message(self, until):
        """The next message, or None when it takes too long."""
        while b'\0' not in self.rest:
            ready, _, _ = select.select([self.read], [], [], max(0, until - time.monotonic()))
            part = os.read(self.read, 1 << 20) if ready else b''
            if not part:
                return None
            self.rest += part
        text, self.rest = self.rest.split(b'\0', 1)
        return json.loads(text)

    def call(self, method, **parameters):
        self.number += 1
        message = {'id': self.number, 'method': method, 'params': parameters}
        if self.session:
            message['sessionId'] = self.session
        data = json.dumps(message).encode() + b'\0'
        while data:
            data = data[os.write(self.write, data):]
        until = time.monotonic() + ANSWER_SECONDS
        while True:
            answer = self.message(until)
            if answer is None:
                raise TimeoutError('no answer to ' + method)
            if answer.get('id') == self.number:
                if 'error' in answer:
                    raise RuntimeError(method + ': ' + answer['error']['message'])
                return answer['result']
            self.events.append(answer)

    def wait_for(self, method):
        until = time.monotonic() + ANSWER_SECONDS
        seen = 0
        while True:
            for event in self.events[seen:]:
                if event.get('method') == method:
                    return
            seen = len(self.events)
            event = self.message(until)
            if event is None:
                raise TimeoutError('no event ' + method)
            self.events.append(event)

    def show(self, path, width=800, dark=False, media=''):
        """Loads a file; the events of its loading are then in `events`."""
        scheme = {'name': 'prefers-color-scheme', 'value': 'dark' if dark else 'light'}
        self.call('Emulation.setEmulatedMedia', media=media, features=[scheme])
        self.size(width)
        self.events.clear()
        self.call('Page.navigate', url='file://' + os.path.abspath(path))
        self.wait_for('Page.loadEventFired')

    def size(self, width):
        self.call('Emulation.setDeviceMetricsOverride', width=width, height=1000,
                  deviceScaleFactor=1, mobile=False)

    def run(self, script):
        """The value of an expression in the page."""
        result = self.call('Runtime.evaluate', expression=script, returnByValue=True)
        if 'exceptionDetails' in result:
            raise RuntimeError(json.dumps(result['exceptionDetails']))
        return result['result'].get('value')

    def tree(self):
        """What a screen reader is given: nodes in reading order, each with the parents above it."""
        nodes = self.call('Accessibility.getFullAXTree')['nodes']
        by_id = {node['nodeId']: node for node in nodes}
        told = []

        def walk(node, above):
            inner = above
            if not node.get('ignored'):
                told.append(Told(node, above))
                inner = [*above, told[-1]]
            for child in node.get('childIds', []):
                if child in by_id:
                    walk(by_id[child], inner)

        walk(nodes[0], [])
        return told

    def press_tab(self):
        for sort in ('keyDown', 'keyUp'):
            self.call('Input.dispatchKeyEvent', type=sort, key='Tab', code='Tab',
                      windowsVirtualKeyCode=9)

    def screenshot(self, path):
        box = self.call('Page.getLayoutMetrics')['cssContentSize']
        clip = {'x': 0, 'y': 0, 'width': box['width'],
                'height': min(box['height'], PICTURE_HEIGHT), 'scale': 1}
        data = self.call('Page.captureScreenshot', captureBeyondViewport=True, clip=clip)['data']
        with open(path, 'wb') as file:
            file.write(base64.b64decode(data))

    def pdf(self, path, width_inch, height_inch):
        data = self.call('Page.printToPDF', paperWidth=width_inch, paperHeight=height_inch,
                         printBackground=False, preferCSSPageSize=False,
                         marginTop=0.55, marginBottom=0.55, marginLeft=0.55, marginRight=0.55)
        with open(path, 'wb') as file:
            file.write(base64.b64decode(data['data']))
