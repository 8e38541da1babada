# Shared by run, test and scripts/*: the environment, and a clear word when .NET is missing.
# Sourced, not started.

export DOTNET_NOLOGO=1
export DOTNET_CLI_TELEMETRY_OPTOUT=1
export DOTNET_CLI_UI_LANGUAGE=en
# The program uses the invariant culture; the tools must not ask for ICU either.
export DOTNET_SYSTEM_GLOBALIZATION_INVARIANT=1
# No build server may stay behind and hold the folder.
export MSBUILDDISABLENODEREUSE=1

# Some build machines start without a home; dotnet and the browser want one.
if [ -z "${HOME:-}" ] || [ ! -d "$HOME" ]; then
  HOME="$(mktemp -d)"
  export HOME
fi

need_dotnet() {
  if ! command -v dotnet > /dev/null 2>&1; then
    if [ -x "$HOME/.dotnet/dotnet" ]; then
      PATH="$HOME/.dotnet:$PATH"
    else
      echo "The .NET 10 SDK is not installed (no 'dotnet' on the PATH)." >&2
      echo "Install the SDK (not only the runtime), version 10.0.100 or later, then start this again." >&2
      return 3
    fi
  fi
  if ! dotnet --list-sdks 2> /dev/null | grep -q '^10\.'; then
    echo "This needs a .NET 10 SDK; found: $(dotnet --list-sdks 2> /dev/null | cut -d' ' -f1 | paste -sd' ' | sed 's/^$/none/')." >&2
    echo "Install the SDK, version 10.0.100 or later; other versions may stay beside it." >&2
    return 3
  fi
}

# Runs a step quietly; shows all it wrote when it fails.
quietly() {
  local log
  log="$(mktemp)"
  if "$@" > "$log" 2>&1; then
    rm -f "$log"
  else
    local code=$?
    cat "$log" >&2
    rm -f "$log"
    return "$code"
  fi
}
