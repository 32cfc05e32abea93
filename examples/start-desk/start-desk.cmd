@echo off
rem Opens the desk on Windows; the rest is in start-desk.py. Never run so far.
cd /d "%~dp0"
set "python="
for %%v in (3.14 3.13 3.12 3.11) do (
  if not defined python (py -%%v -c "" >nul 2>nul && set "python=py -%%v")
)
if not defined python (
  python -c "import sys; sys.exit(sys.version_info < (3, 11))" >nul 2>nul && set "python=python"
)
if not defined python goto none
%python% start-desk.py %*
if errorlevel 1 pause
exit /b

:none
echo This computer has no Python yet, or one that is too old.
echo Python is free. It is what the desk is written in; 3.11 or newer is needed.
echo Get it from https://www.python.org/downloads/ and install it.
echo Then start this again.
pause
exit /b 1
