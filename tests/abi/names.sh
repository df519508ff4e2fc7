# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# Sourced from the top of the project. public_names: the names that the headers mark RESEAT_API.
public_names() {
    grep -hv '^ *#' include/reseat/*.h | tr '\n' ' ' | grep -o 'RESEAT_API [^(;]*' |
        grep -o '[A-Za-z0-9_]* *$' | tr -d ' '
}
