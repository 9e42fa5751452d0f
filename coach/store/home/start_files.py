"""The files that open today's session with a double click, one for each system, with the program installed or not.

They are the same for every client and hold no words and no paths: what they say is in text files next to the wheel,
so that nothing has to be quoted in the language of a shell. They have no characters but ASCII. Python runs isolated
(-I), so that nothing in the folder they are started from is taken for a part of the program.
"""

from msgspec import Struct

PROGRAM = "program"  # the folder with the wheel, the client and the texts
INSTALLING, NO_PYTHON, NOT_INSTALLED, CLOSE = "installing", "no_python", "not_installed", "close"
TEXTS = (INSTALLING, NO_PYTHON, NOT_INSTALLED, CLOSE)
_PYTHONS = "3.14 3.13 3.12 3.11"  # newer ones are found as python3


class StartFile(Struct, frozen=True):
    """The ending and the text of a start file, and whether its owner must be allowed to run it."""

    ending: str
    data: bytes
    is_run: bool


_SHELL = f"""#!/bin/sh
# Opens today's session. Where the program is missing, it is installed first, from this folder.
@TERMINAL@here=$(CDPATH= cd -- "$(dirname -- "$0")" && pwd) || exit 1
home="@HOME@/steady-arc/program"
say() {{ printf '\\n'; cat "$here/{PROGRAM}/$1.txt"; printf '\\n'; }}
leave() {{ say {CLOSE}; read -r _; exit "$1"; }}

# Python may have been replaced since, as by a new version of the system; then it is installed again.
if [ ! -e "$home/installed" ] || ! "$home/bin/python" -I -c 'import coach' >/dev/null 2>&1; then
  python=
  for one in {" ".join(f"python{version}" for version in _PYTHONS.split())} python3; do
    if "$one" -c 'import sys, ensurepip, venv; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; then
      python=$one
      break
    fi
  done
  if [ -z "$python" ]; then
    say {NO_PYTHON}
    leave 1
  fi
  say {INSTALLING}
  read -r _ || exit 1
  if ! {{ "$python" -m venv --clear "$home" &&
    "$home/bin/python" -I -m pip install --quiet --disable-pip-version-check "$here/{PROGRAM}"/*.whl; }}; then
    rm -rf "$home"
    say {NOT_INSTALLED}
    leave 1
  fi
  : >"$home/installed"
fi
"$home/bin/python" -I -m coach begin "$here"
leave "$?"
"""
_OWN_TERMINAL = """if [ ! -t 0 ] && command -v x-terminal-emulator >/dev/null; then
  exec x-terminal-emulator -e "$0"
fi
"""

_BATCH = f"""@echo off
rem Opens today's session. Where the program is missing, it is installed first, from this folder.
setlocal DisableDelayedExpansion
chcp 65001 >nul
set "here=%~dp0"
set "home=%LOCALAPPDATA%\\steady-arc\\program"
if not exist "%home%\\installed" goto install
rem Python may have been replaced since; then it is installed again.
"%home%\\Scripts\\python.exe" -I -c "import coach" >nul 2>nul && goto start

:install
set "python="
for %%v in ({_PYTHONS} 3) do if not defined python (
  py -%%v -c "import sys, ensurepip, venv; sys.exit(sys.version_info < (3, 11))" >nul 2>nul && set "python=py -%%v"
)
if not defined python (
  python -c "import sys, ensurepip, venv; sys.exit(sys.version_info < (3, 11))" >nul 2>nul && set "python=python"
)
if not defined python goto no_python
echo.
type "%here%{PROGRAM}\\{INSTALLING}.txt"
pause >nul
%python% -m venv --clear "%home%"
if errorlevel 1 goto not_installed
for %%w in ("%here%{PROGRAM}\\*.whl") do set "wheel=%%~fw"
"%home%\\Scripts\\python.exe" -I -m pip install --quiet --disable-pip-version-check "%wheel%"
if errorlevel 1 goto not_installed
type nul >"%home%\\installed"

:start
"%home%\\Scripts\\python.exe" -I -m coach begin "%here%."
goto close

:no_python
echo.
type "%here%{PROGRAM}\\{NO_PYTHON}.txt"
goto close

:not_installed
if exist "%home%" rmdir /s /q "%home%"
echo.
type "%here%{PROGRAM}\\{NOT_INSTALLED}.txt"

:close
echo.
type "%here%{PROGRAM}\\{CLOSE}.txt"
pause >nul
"""


def _shell(home: str, terminal: str = "") -> bytes:
    return _SHELL.replace("@HOME@", home).replace("@TERMINAL@", terminal).encode("ascii")


LINUX = StartFile(".sh", _shell("${XDG_DATA_HOME:-$HOME/.local/share}", _OWN_TERMINAL), is_run=True)
MAC = StartFile(".command", _shell("$HOME/Library/Application Support"), is_run=True)
WINDOWS = StartFile(".cmd", _BATCH.replace("\n", "\r\n").encode("ascii"), is_run=False)
