#!/bin/sh
# The sheet is looked at in a real browser and as PDF pages. Where Debian's packages can bring both, bring them.
if command -v chromium >/dev/null 2>&1 && command -v pdftoppm >/dev/null 2>&1; then
    exit 0
fi
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
    apt-get update -qq >/dev/null 2>&1 && apt-get install -y -qq chromium poppler-utils >/dev/null 2>&1 && exit 0
fi
echo "chromium and poppler-utils are not here and could not be installed: the browser tests will be skipped, and say so"
exit 0
