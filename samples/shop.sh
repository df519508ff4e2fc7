#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# sh samples/shop.sh DIR: writes the logs of a shop that makes hydraulic valve blocks on four
# machining centres into the folder DIR, by recording 18 months one entry after the other.
#
# Everything here is simulated: offsets are a made-up course plus random scatter, drawn once and
# written down, so that the logs say the same each time. People are role codes.

set -eu
RESEAT_LOG=$1
export RESEAT_LOG

# What it says of odd runs, as some are meant to be, is of no use here.
record() {
    said=$(reseat record "$@" 2>&1) || {
        printf '%s\n' "$said" >&2
        exit 1
    }
}

# mill-1: healthy. A new stylus in February, a run that was mistyped and taken back, one entered late.
record mill-1 run --new --probe P1 --seat 0 --offset 0.0016,-0.0015 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.404 --at 2025-05-05T06:45:00Z --by tech-2
record mill-1 policy --limit 0.008 --seats keys:2 --u-seat 0.0006 --u-spindle 0.0004 --lobing 0.0008 --max-age 60
record mill-1 run --probe P1 --seat 0 --offset 0.0019,-0.0015 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.404 --at 2025-05-19T06:26:00Z --by tech-1
record mill-1 run --probe P1 --seat 0 --offset 0.0021,-0.0010 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2025-06-02T06:46:00Z --by tech-2
record mill-1 run --probe P1 --seat 0 --offset 0.0012,-0.0008 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-06-16T06:12:00Z --by tech-1
record mill-1 run --probe P1 --seat 0 --offset 0.0024,-0.0010 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2025-06-30T06:21:00Z --by tech-3
record mill-1 run --probe P1 --seat 0 --offset 0.0015,-0.0016 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-07-14T06:32:00Z --by tech-3
record mill-1 run --probe P1 --seat 0 --offset 0.0024,-0.0015 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-07-28T06:32:00Z --by tech-3
record mill-1 run --probe P1 --seat 0 --offset 0.0021,-0.0014 --offset-u 0.0004 --radius 2.9948 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2025-08-11T06:47:00Z --by tech-2
record mill-1 run --probe P1 --seat 0 --offset 0.0016,-0.0008 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-08-25T06:25:00Z --by tech-2
record mill-1 run --probe P1 --seat 0 --offset 0.0021,-0.0010 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-09-08T06:17:00Z --by tech-1
record mill-1 reseat --probe P1 --seat 0 --why battery --at 2025-09-15T13:04:00Z --by tech-2
record mill-1 run --probe P1 --seat 0 --offset 0.0021,-0.0016 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2025-09-22T06:08:00Z --by tech-3
record mill-1 run --probe P1 --seat 0 --offset 0.0021,-0.0011 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-10-06T06:36:00Z --by tech-2
record mill-1 run --probe P1 --seat 0 --offset 0.0019,-0.0014 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-11-03T06:16:00Z --by tech-3
record mill-1 run --probe P1 --seat 0 --offset 0.0029,-0.0010 --offset-u 0.0004 --radius 2.9955 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-11-17T06:43:00Z --by tech-2
record mill-1 run --probe P1 --seat 0 --offset 0.0019,-0.0015 --offset-u 0.0004 --radius 2.9958 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-10-20T06:01:00Z --by tech-1 --note 'found on paper, entered late'
record mill-1 run --probe P1 --seat 0 --offset 0.0023,-0.0011 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2025-12-01T06:16:00Z --by tech-3
record mill-1 run --probe P1 --seat 0 --offset 0.0025,-0.0015 --offset-u 0.0004 --radius 2.9957 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-12-15T06:19:00Z --by tech-1
record mill-1 run --probe P1 --seat 0 --offset 0.0023,-0.0020 --offset-u 0.0004 --radius 2.9956 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-12-29T06:05:00Z --by tech-2
record mill-1 run --probe P1 --seat 0 --offset 0.0020,-0.0016 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2026-01-12T06:04:00Z --by tech-2
record mill-1 run --probe P1 --seat 0 --offset 0.0017,-0.0015 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.404 --at 2026-01-26T06:36:00Z --by tech-1
record mill-1 event --kind stylus-change --probe P1 --at 2026-02-09T05:10:00Z --by tech-1 --note 'worn ball, new stylus'
record mill-1 run --probe P1 --seat 0 --offset 0.0014,0.0008 --offset-u 0.0004 --radius 2.9949 \
    --repeatability 0.0003 --stylus-length 118.376 --at 2026-02-09T06:14:00Z --by tech-2
record mill-1 run --probe P1 --seat 0 --offset 0.0011,0.0008 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.378 --at 2026-02-23T06:13:00Z --by tech-2
record mill-1 run --probe P1 --seat 0 --offset 0.0014,0.0012 --offset-u 0.0004 --radius 2.9955 \
    --repeatability 0.0003 --stylus-length 118.377 --at 2026-03-09T06:47:00Z --by tech-1
record mill-1 run --probe P1 --seat 0 --offset 0.0011,0.0007 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.376 --at 2026-03-23T06:37:00Z --by tech-1
record mill-1 run --probe P1 --seat 0 --offset 0.0180,0.0016 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.376 --at 2026-04-06T06:48:00Z --by tech-1
record mill-1 void 28 --why 'offset mistyped, ten times too large in X' --by tech-2
record mill-1 run --probe P1 --seat 0 --offset 0.0018,0.0016 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.376 --at 2026-04-06T06:48:00Z --by tech-1
record mill-1 run --probe P1 --seat 0 --offset 0.0015,0.0012 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.376 --at 2026-04-20T06:33:00Z --by tech-2
record mill-1 run --probe P1 --seat 0 --offset 0.0021,0.0009 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.377 --at 2026-05-04T06:29:00Z --by tech-3
record mill-1 run --probe P1 --seat 0 --offset 0.0011,0.0010 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.377 --at 2026-05-18T06:18:00Z --by tech-3
record mill-1 run --probe P1 --seat 0 --offset 0.0013,0.0018 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.378 --at 2026-06-01T06:03:00Z --by tech-2
record mill-1 run --probe P1 --seat 0 --offset 0.0014,0.0013 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.377 --at 2026-06-15T06:45:00Z --by tech-3
record mill-1 reseat --probe P1 --seat 0 --why battery --at 2026-06-22T14:19:00Z --by tech-3
record mill-1 run --probe P1 --seat 0 --offset 0.0007,0.0003 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.375 --at 2026-06-29T06:01:00Z --by tech-1
record mill-1 run --probe P1 --seat 0 --offset 0.0009,0.0011 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.377 --at 2026-07-13T06:25:00Z --by tech-1
record mill-1 run --probe P1 --seat 0 --offset 0.0015,0.0006 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.377 --at 2026-07-27T06:34:00Z --by tech-1
record mill-1 run --probe P1 --seat 0 --offset 0.0014,0.0012 --offset-u 0.0004 --radius 2.9946 \
    --repeatability 0.0003 --stylus-length 118.375 --at 2026-08-10T06:26:00Z --by tech-3
record mill-1 run --probe P1 --seat 0 --offset 0.0014,0.0009 --offset-u 0.0004 --radius 2.9955 \
    --repeatability 0.0003 --stylus-length 118.378 --at 2026-08-24T06:02:00Z --by tech-2
record mill-1 run --probe P1 --seat 0 --offset 0.0010,0.0005 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.378 --at 2026-09-07T06:34:00Z --by tech-2
record mill-1 run --probe P1 --seat 0 --offset 0.0018,0.0003 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.377 --at 2026-09-21T06:04:00Z --by tech-2
record mill-1 run --probe P1 --seat 0 --offset 0.0013,0.0007 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.377 --at 2026-10-05T06:32:00Z --by tech-1
record mill-1 run --probe P1 --seat 0 --offset 0.0019,0.0008 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.377 --at 2026-10-19T06:28:00Z --by tech-1

# mill-2: put back turned. In April it went in half a turn round and was calibrated so, the seat
# written down as before; at the end a battery was changed and nobody wrote down the seat.
record mill-2 run --new --probe P2 --seat 0 --offset 0.0117,-0.0051 --offset-u 0.0004 --radius 2.9949 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2025-05-05T06:42:00Z --by tech-3
record mill-2 policy --limit 0.01 --seats keys:2 --u-seat 0.0006 --u-spindle 0.0004 --lobing 0.0008 --max-age 60
record mill-2 run --probe P2 --seat 0 --offset 0.0118,-0.0051 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-05-19T06:18:00Z --by tech-3
record mill-2 run --probe P2 --seat 0 --offset 0.0123,-0.0051 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.404 --at 2025-06-02T06:09:00Z --by tech-3
record mill-2 run --probe P2 --seat 0 --offset 0.0121,-0.0053 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-06-16T06:32:00Z --by tech-2
record mill-2 run --probe P2 --seat 0 --offset 0.0121,-0.0052 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-06-30T06:23:00Z --by tech-1
record mill-2 run --probe P2 --seat 0 --offset 0.0122,-0.0050 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-07-14T06:32:00Z --by tech-2
record mill-2 run --probe P2 --seat 0 --offset 0.0119,-0.0049 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-07-28T06:48:00Z --by tech-2
record mill-2 run --probe P2 --seat 0 --offset 0.0118,-0.0050 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2025-08-11T06:20:00Z --by tech-1
record mill-2 run --probe P2 --seat 0 --offset 0.0123,-0.0052 --offset-u 0.0004 --radius 2.9948 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-08-25T06:48:00Z --by tech-1
record mill-2 run --probe P2 --seat 0 --offset 0.0123,-0.0053 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-09-08T06:23:00Z --by tech-2
record mill-2 run --probe P2 --seat 0 --offset 0.0122,-0.0053 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-09-22T06:41:00Z --by tech-2
record mill-2 reseat --probe P2 --seat 0 --why battery --at 2025-09-30T15:13:00Z --by tech-1
record mill-2 run --probe P2 --seat 0 --offset 0.0120,-0.0050 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-10-06T06:41:00Z --by tech-3
record mill-2 run --probe P2 --seat 0 --offset 0.0117,-0.0050 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2025-10-20T06:49:00Z --by tech-2
record mill-2 run --probe P2 --seat 0 --offset 0.0125,-0.0052 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.404 --at 2025-11-03T06:47:00Z --by tech-1
record mill-2 run --probe P2 --seat 0 --offset 0.0125,-0.0055 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.400 --at 2025-11-17T06:04:00Z --by tech-1
record mill-2 run --probe P2 --seat 0 --offset 0.0118,-0.0049 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-12-01T06:37:00Z --by tech-3
record mill-2 run --probe P2 --seat 0 --offset 0.0117,-0.0050 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-12-15T06:27:00Z --by tech-3
record mill-2 run --probe P2 --seat 0 --offset 0.0120,-0.0052 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-12-29T06:44:00Z --by tech-2
record mill-2 run --probe P2 --seat 0 --offset 0.0121,-0.0053 --offset-u 0.0004 --radius 2.9956 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2026-01-12T06:31:00Z --by tech-2
record mill-2 run --probe P2 --seat 0 --offset 0.0121,-0.0050 --offset-u 0.0004 --radius 2.9947 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-01-26T06:11:00Z --by tech-3
record mill-2 run --probe P2 --seat 0 --offset 0.0118,-0.0050 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2026-02-09T06:02:00Z --by tech-1
record mill-2 run --probe P2 --seat 0 --offset 0.0122,-0.0052 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-02-23T06:39:00Z --by tech-1
record mill-2 run --probe P2 --seat 0 --offset 0.0118,-0.0053 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2026-03-09T06:36:00Z --by tech-3
record mill-2 run --probe P2 --seat 0 --offset 0.0124,-0.0049 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-03-23T06:04:00Z --by tech-3
record mill-2 reseat --probe P2 --seat unknown --why battery --at 2026-03-31T15:45:00Z --by tech-3
record mill-2 run --probe P2 --seat 0 --offset -0.0118,0.0051 --offset-u 0.0004 --radius 2.9956 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2026-04-06T06:49:00Z --by tech-2
record mill-2 run --probe P2 --seat 0 --offset -0.0121,0.0050 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-04-20T06:48:00Z --by tech-2
record mill-2 run --probe P2 --seat 0 --offset -0.0117,0.0050 --offset-u 0.0004 --radius 2.9956 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-05-04T06:07:00Z --by tech-1
record mill-2 run --probe P2 --seat 0 --offset -0.0123,0.0054 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2026-05-18T06:05:00Z --by tech-2
record mill-2 run --probe P2 --seat 0 --offset -0.0117,0.0051 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2026-06-01T06:41:00Z --by tech-1
record mill-2 run --probe P2 --seat 0 --offset -0.0118,0.0055 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.400 --at 2026-06-15T06:01:00Z --by tech-1
record mill-2 run --probe P2 --seat 0 --offset -0.0119,0.0050 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2026-06-29T06:41:00Z --by tech-1
record mill-2 run --probe P2 --seat 0 --offset -0.0121,0.0054 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-07-13T06:00:00Z --by tech-3
record mill-2 run --probe P2 --seat 0 --offset -0.0121,0.0049 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-07-27T06:29:00Z --by tech-2
record mill-2 run --probe P2 --seat 0 --offset -0.0119,0.0050 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2026-08-10T06:19:00Z --by tech-2
record mill-2 run --probe P2 --seat 0 --offset -0.0121,0.0049 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2026-08-24T06:04:00Z --by tech-3
record mill-2 run --probe P2 --seat 0 --offset -0.0122,0.0046 --offset-u 0.0004 --radius 2.9955 \
    --repeatability 0.0003 --stylus-length 118.400 --at 2026-09-07T06:43:00Z --by tech-1
record mill-2 run --probe P2 --seat 0 --offset -0.0119,0.0052 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-09-21T06:48:00Z --by tech-2
record mill-2 run --probe P2 --seat 0 --offset -0.0121,0.0051 --offset-u 0.0004 --radius 2.9949 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2026-10-05T06:43:00Z --by tech-3
record mill-2 run --probe P2 --seat 0 --offset -0.0120,0.0052 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2026-10-19T06:49:00Z --by tech-3
record mill-2 reseat --probe P2 --seat unknown --why battery --at 2026-10-27T14:47:00Z --by tech-2

# hmc-1: slow drift, and the runs stop in August.
record hmc-1 run --new --probe P3 --seat 0 --offset 0.0030,-0.0017 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2025-05-05T06:13:00Z --by tech-1
record hmc-1 policy --limit 0.003 --seats keys:2 --u-seat 0.0006 --u-spindle 0.0004 --lobing 0.0008
record hmc-1 run --probe P3 --seat 0 --offset 0.0028,-0.0025 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-05-19T06:23:00Z --by tech-3
record hmc-1 run --probe P3 --seat 0 --offset 0.0036,-0.0026 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-06-02T06:16:00Z --by tech-1
record hmc-1 run --probe P3 --seat 0 --offset 0.0039,-0.0022 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-06-16T06:45:00Z --by tech-3
record hmc-1 run --probe P3 --seat 0 --offset 0.0043,-0.0023 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-06-30T06:48:00Z --by tech-1
record hmc-1 run --probe P3 --seat 0 --offset 0.0040,-0.0021 --offset-u 0.0004 --radius 2.9956 \
    --repeatability 0.0003 --stylus-length 118.400 --at 2025-07-14T06:22:00Z --by tech-3
record hmc-1 run --probe P3 --seat 0 --offset 0.0041,-0.0028 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-07-28T06:28:00Z --by tech-3
record hmc-1 run --probe P3 --seat 0 --offset 0.0048,-0.0028 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2025-08-11T06:09:00Z --by tech-1
record hmc-1 run --probe P3 --seat 0 --offset 0.0048,-0.0035 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-08-25T06:24:00Z --by tech-1
record hmc-1 run --probe P3 --seat 0 --offset 0.0050,-0.0032 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-09-08T06:01:00Z --by tech-2
record hmc-1 run --probe P3 --seat 0 --offset 0.0048,-0.0035 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-09-22T06:27:00Z --by tech-2
record hmc-1 run --probe P3 --seat 0 --offset 0.0056,-0.0033 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2025-10-06T06:11:00Z --by tech-3
record hmc-1 run --probe P3 --seat 0 --offset 0.0062,-0.0030 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-10-20T06:37:00Z --by tech-2
record hmc-1 run --probe P3 --seat 0 --offset 0.0061,-0.0030 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-11-03T06:17:00Z --by tech-3
record hmc-1 run --probe P3 --seat 0 --offset 0.0064,-0.0041 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-11-17T06:07:00Z --by tech-1
record hmc-1 reseat --probe P3 --seat 0 --why battery --at 2025-11-25T12:45:00Z --by tech-1
record hmc-1 run --probe P3 --seat 0 --offset 0.0069,-0.0034 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-12-01T06:10:00Z --by tech-2
record hmc-1 run --probe P3 --seat 0 --offset 0.0071,-0.0039 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2025-12-15T06:02:00Z --by tech-3
record hmc-1 run --probe P3 --seat 0 --offset 0.0070,-0.0042 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-12-29T06:34:00Z --by tech-2
record hmc-1 run --probe P3 --seat 0 --offset 0.0067,-0.0037 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-01-12T06:10:00Z --by tech-1
record hmc-1 run --probe P3 --seat 0 --offset 0.0075,-0.0035 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-01-26T06:18:00Z --by tech-2
record hmc-1 run --probe P3 --seat 0 --offset 0.0079,-0.0038 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2026-02-09T06:21:00Z --by tech-3
record hmc-1 run --probe P3 --seat 0 --offset 0.0083,-0.0042 --offset-u 0.0004 --radius 2.9947 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2026-02-23T06:18:00Z --by tech-1
record hmc-1 run --probe P3 --seat 0 --offset 0.0080,-0.0045 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-03-09T06:38:00Z --by tech-3
record hmc-1 run --probe P3 --seat 0 --offset 0.0080,-0.0040 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-03-23T06:03:00Z --by tech-2
record hmc-1 run --probe P3 --seat 0 --offset 0.0086,-0.0049 --offset-u 0.0004 --radius 2.9949 \
    --repeatability 0.0003 --stylus-length 118.404 --at 2026-04-06T06:20:00Z --by tech-3
record hmc-1 run --probe P3 --seat 0 --offset 0.0095,-0.0044 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-04-20T06:37:00Z --by tech-2
record hmc-1 run --probe P3 --seat 0 --offset 0.0094,-0.0045 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2026-05-04T06:31:00Z --by tech-1
record hmc-1 run --probe P3 --seat 0 --offset 0.0097,-0.0050 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.400 --at 2026-05-18T06:30:00Z --by tech-1
record hmc-1 run --probe P3 --seat 0 --offset 0.0101,-0.0049 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-06-01T06:35:00Z --by tech-2
record hmc-1 run --probe P3 --seat 0 --offset 0.0101,-0.0050 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2026-06-15T06:15:00Z --by tech-3
record hmc-1 run --probe P3 --seat 0 --offset 0.0098,-0.0049 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2026-06-29T06:42:00Z --by tech-3
record hmc-1 run --probe P3 --seat 0 --offset 0.0102,-0.0046 --offset-u 0.0004 --radius 2.9955 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2026-07-13T06:30:00Z --by tech-2
record hmc-1 run --probe P3 --seat 0 --offset 0.0107,-0.0049 --offset-u 0.0004 --radius 2.9955 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-07-27T06:26:00Z --by tech-3
record hmc-1 run --probe P3 --seat 0 --offset 0.0112,-0.0053 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-08-10T06:18:00Z --by tech-1
record hmc-1 run --probe P3 --seat 0 --offset 0.0116,-0.0050 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2026-08-24T06:23:00Z --by tech-3

# hmc-2: in June the stylus was bent and nobody said so; in October a collision was written down.
record hmc-2 run --new --probe P4 --seat 0 --offset 0.0034,0.0016 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2025-05-05T06:48:00Z --by tech-1
record hmc-2 policy --limit 0.01 --seats keys:2 --u-seat 0.0006 --u-spindle 0.0004 --lobing 0.0008 --max-age 60
record hmc-2 run --probe P4 --seat 0 --offset 0.0034,0.0020 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-05-19T06:39:00Z --by tech-3
record hmc-2 run --probe P4 --seat 0 --offset 0.0037,0.0015 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2025-06-02T06:32:00Z --by tech-3
record hmc-2 run --probe P4 --seat 0 --offset 0.0033,0.0027 --offset-u 0.0004 --radius 2.9957 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-06-16T06:23:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0039,0.0020 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-06-30T06:28:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0041,0.0021 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2025-07-14T06:02:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0036,0.0023 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-07-28T06:00:00Z --by tech-2
record hmc-2 run --probe P4 --seat 0 --offset 0.0034,0.0021 --offset-u 0.0004 --radius 2.9956 \
    --repeatability 0.0003 --stylus-length 118.400 --at 2025-08-11T06:36:00Z --by tech-3
record hmc-2 run --probe P4 --seat 0 --offset 0.0034,0.0024 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-08-25T06:37:00Z --by tech-3
record hmc-2 run --probe P4 --seat 0 --offset 0.0035,0.0022 --offset-u 0.0004 --radius 2.9948 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2025-09-08T06:29:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0038,0.0017 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-09-22T06:03:00Z --by tech-2
record hmc-2 run --probe P4 --seat 0 --offset 0.0037,0.0025 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-10-06T06:00:00Z --by tech-2
record hmc-2 run --probe P4 --seat 0 --offset 0.0038,0.0021 --offset-u 0.0004 --radius 2.9949 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-10-20T06:43:00Z --by tech-3
record hmc-2 run --probe P4 --seat 0 --offset 0.0037,0.0024 --offset-u 0.0004 --radius 2.9949 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-11-03T06:00:00Z --by tech-2
record hmc-2 run --probe P4 --seat 0 --offset 0.0032,0.0020 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-11-17T06:01:00Z --by tech-3
record hmc-2 run --probe P4 --seat 0 --offset 0.0035,0.0024 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.404 --at 2025-12-01T06:36:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0033,0.0018 --offset-u 0.0004 --radius 2.9956 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2025-12-15T06:42:00Z --by tech-3
record hmc-2 run --probe P4 --seat 0 --offset 0.0036,0.0022 --offset-u 0.0004 --radius 2.9949 \
    --repeatability 0.0003 --stylus-length 118.404 --at 2025-12-29T06:42:00Z --by tech-1
record hmc-2 reseat --probe P4 --seat 0 --why battery --at 2026-01-08T12:09:00Z --by tech-2
record hmc-2 run --probe P4 --seat 0 --offset 0.0037,0.0019 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2026-01-12T06:19:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0033,0.0018 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-01-26T06:12:00Z --by tech-2
record hmc-2 run --probe P4 --seat 0 --offset 0.0039,0.0017 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2026-02-09T06:24:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0043,0.0019 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2026-02-23T06:34:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0034,0.0022 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2026-03-09T06:22:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0032,0.0015 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-03-23T06:25:00Z --by tech-2
record hmc-2 run --probe P4 --seat 0 --offset 0.0034,0.0026 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-04-06T06:36:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0033,0.0021 --offset-u 0.0004 --radius 2.9947 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2026-04-20T06:03:00Z --by tech-2
record hmc-2 run --probe P4 --seat 0 --offset 0.0035,0.0022 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-05-04T06:33:00Z --by tech-3
record hmc-2 run --probe P4 --seat 0 --offset 0.0031,0.0022 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-05-18T06:32:00Z --by tech-3
record hmc-2 run --probe P4 --seat 0 --offset 0.0036,0.0022 --offset-u 0.0004 --radius 2.9949 \
    --repeatability 0.0003 --stylus-length 118.404 --at 2026-06-01T06:37:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0105,0.0063 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-06-15T06:22:00Z --by tech-3
record hmc-2 run --probe P4 --seat 0 --offset 0.0104,0.0066 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2026-06-29T06:03:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0107,0.0067 --offset-u 0.0004 --radius 2.9954 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2026-07-13T06:21:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0102,0.0063 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.401 --at 2026-07-27T06:23:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0100,0.0070 --offset-u 0.0004 --radius 2.9950 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-08-10T06:11:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0112,0.0065 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-08-24T06:05:00Z --by tech-3
record hmc-2 run --probe P4 --seat 0 --offset 0.0107,0.0067 --offset-u 0.0004 --radius 2.9949 \
    --repeatability 0.0003 --stylus-length 118.403 --at 2026-09-07T06:15:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0106,0.0064 --offset-u 0.0004 --radius 2.9952 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-09-21T06:37:00Z --by tech-1
record hmc-2 run --probe P4 --seat 0 --offset 0.0106,0.0065 --offset-u 0.0004 --radius 2.9953 \
    --repeatability 0.0003 --stylus-length 118.404 --at 2026-10-05T06:47:00Z --by tech-3
record hmc-2 run --probe P4 --seat 0 --offset 0.0106,0.0064 --offset-u 0.0004 --radius 2.9951 \
    --repeatability 0.0003 --stylus-length 118.402 --at 2026-10-19T06:09:00Z --by tech-2
record hmc-2 event --kind collision --at 2026-10-22T09:49:00Z --by tech-3 --note 'ran into a clamp at low feed'
