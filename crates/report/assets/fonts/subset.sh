#!/usr/bin/env bash
# Makes the faces the page carries from the whole ones beside this file. Needs PyPI `fonttools` and `brotli`.
set -euo pipefail
cd "$(dirname "$0")"
for face in Regular SemiBold; do
    pyftsubset "Inter-$face.otf" --output-file="Inter-$face.page.woff2" --flavor=woff2 \
        --unicodes=U+0020-007E,U+00A0-017F,U+0192,U+02C6-02DD,U+0391-03C9,U+2010-2015,U+2018-201F,U+2020-2022,U+2026,U+2030,U+2032,U+2033,U+2039,U+203A,U+2044,U+2070-2089,U+20AC,U+2122,U+2190-2193,U+2212,U+2215,U+221E,U+2248,U+2260,U+2264,U+2265,U+25A0-25FF \
        --layout-features=kern,tnum,ccmp,locl,mark,mkmk,case --no-hinting --desubroutinize
done
