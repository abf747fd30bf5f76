@echo off
rem Estampage's console on Windows: finds a JDK and calls it; what is built, and which options Java gets, is the matter of Launcher.java.
rem No delayed expansion: it would take exclamation marks out of arguments.
setlocal disabledelayedexpansion
set "HERE=%~dp0"
set "JDK="
call :try "%JAVA_HOME%"
for /f "delims=" %%J in ('where java 2^>nul') do for %%D in ("%%~dpJ..") do call :try "%%~fD"
for %%R in ("%ProgramFiles%\Java" "%ProgramFiles%\Eclipse Adoptium" "%USERPROFILE%\.jdks") do for /d %%D in ("%%~R\*") do call :try "%%~fD"
if not defined JDK (
  echo estampage: no JDK 25 or newer was found. Install one or set JAVA_HOME to it. 1>&2
  exit /b 2
)
if "%~1"=="--which-jdk" (
  echo "%JDK%"
  exit /b 0
)
rem A short-lived JVM: no optimising compiler. Before the first build there is only the source.
if exist "%HERE%target\classes\org\estampage\console\Launcher.class" (
  "%JDK%\bin\java" -XX:TieredStopAtLevel=1 -XX:+UseSerialGC -cp "%HERE%target\classes" org.estampage.console.Launcher "%HERE%."
) else (
  "%JDK%\bin\java" -XX:TieredStopAtLevel=1 -XX:+UseSerialGC "%HERE%src\main\java\org\estampage\console\Launcher.java" "%HERE%."
)
if errorlevel 1 exit /b 2
"%JDK%\bin\java" "@%HERE%target\launch.args" %ESTAMPAGE_JAVA_OPTIONS% org.estampage.console.Main %*
exit /b %errorlevel%

:try
rem Takes a folder as the JDK if none is found yet and it holds one that is new enough.
if defined JDK exit /b 0
if not exist "%~1\bin\javac.exe" exit /b 0
for /f "tokens=2 delims==." %%V in ('findstr /b "JAVA_VERSION=" "%~1\release" 2^>nul') do for /f "delims=+-" %%N in ("%%~V") do call :newenough "%%~N" "%~1"
exit /b 0

:newenough
set "FEATURE=%~1"
set "FEATURE=%FEATURE:"=%"
if %FEATURE% GEQ 25 set "JDK=%~2"
exit /b 0
