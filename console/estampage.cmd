@echo off
rem Estampage's console on Windows: finds a JDK 25 or newer, builds on first use, runs a script or opens the prompt.
setlocal enabledelayedexpansion
set "HERE=%~dp0"
set "JDK="
call :try "%JAVA_HOME%"
for /f "delims=" %%J in ('where java 2^>nul') do if not defined JDK for %%D in ("%%~dpJ..") do call :try "%%~fD"
for %%R in ("%ProgramFiles%\Java" "%ProgramFiles%\Eclipse Adoptium" "%USERPROFILE%\.jdks") do for /d %%D in ("%%~R\*") do if not defined JDK call :try "%%~fD"
if not defined JDK (
  echo estampage: no JDK 25 or newer was found. Install one or set JAVA_HOME to it. 1>&2
  exit /b 2
)
if not exist "%HERE%target\lib" (
  echo estampage: building ^(first use^) ... 1>&2
  pushd "%HERE%.."
  call mvn -B -q -pl console -am package -DskipTests 1>&2
  if errorlevel 1 ( popd & exit /b 2 )
  popd
)
"%JDK%\bin\java" --add-modules jdk.incubator.vector --enable-native-access=ALL-UNNAMED -Djoml.nounsafe=true -Djava.awt.headless=true -XX:MaxRAMPercentage=70 -XX:+UseParallelGC %ESTAMPAGE_JAVA_OPTIONS% -cp "%HERE%target\*;%HERE%target\lib\*" org.estampage.console.Main %*
exit /b %errorlevel%

:try
if defined JDK exit /b 0
if not exist "%~1\bin\javac.exe" exit /b 0
for /f "tokens=2 delims==." %%V in ('findstr /b "JAVA_VERSION=" "%~1\release" 2^>nul') do set "VERSION=%%~V"
set "VERSION=!VERSION:"=!"
if !VERSION! GEQ 25 set "JDK=%~1"
exit /b 0
