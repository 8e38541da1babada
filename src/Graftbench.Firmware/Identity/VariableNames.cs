namespace Graftbench.Firmware.Identity;

/// <summary>What the name of a variable says about it. Common practice: vendors name as they like.</summary>
internal static class VariableNames
{
    // EDK II, MdePkg GlobalVariable: boot order, consoles, language.
    public static readonly Guid Global = new("8BE4DF61-93CA-11D2-AA0D-00E098032B8C");

    // UEFI 2.10, 32.3: signature databases.
    private static readonly Guid SignatureDatabase = new("D719B2CB-3D3A-4596-A3BC-DAD00E67656F");

    private static readonly string[] BootWords =
    [
        "BootOrder",
        "BootNext",
        "BootCurrent",
        "BootOptionSupport",
        "ConIn",
        "ConOut",
        "ErrOut",
        "ConInDev",
        "ConOutDev",
        "ErrOutDev",
        "DriverOrder",
        "Lang",
        "LangCodes",
        "PlatformLang",
        "PlatformLangCodes",
        "Timeout",
        "OsIndications",
        "OsIndicationsSupported",
        "HwErrRecSupport",
        "PlatformRecovery",
    ];

    private static readonly string[] KeyNames =
    [
        "PK",
        "KEK",
        "db",
        "dbx",
        "dbt",
        "dbr",
        "PKDefault",
        "KEKDefault",
        "dbDefault",
        "dbxDefault",
        "SetupMode",
        "SecureBoot",
        "AuditMode",
        "DeployedMode",
        "CustomMode",
        "SecureBootEnable",
        "VendorKeysNv",
        "certdb",
        "certdbv",
        "SignatureSupport",
    ];

    private static readonly string[] IdentityWords =
    [
        "SERIAL",
        "SN",
        "UUID",
        "GUID",
        "MAC",
        "ASSET",
        "SKU",
        "MODEL",
        "REGION",
        "CALIBRATION",
        "CALIB",
        "CAL",
        "PANEL",
        "LICENCE",
        "LICENSE",
        "ACTIVATION",
        "DMI",
        "IDENTITY",
    ];

    private static readonly string[] OwnershipWords =
    [
        "PASSWORD",
        "PASSWD",
        "PWD",
        "LOCK",
        "LOCKED",
        "OWNER",
        "OWNERSHIP",
        "THEFT",
        "ANTITHEFT",
        "SUPERVISOR",
        "ENROLLMENT",
        "MANAGEMENT",
    ];

    private static readonly string[] SettingWords =
    [
        "SETUP",
        "DEFAULT",
        "DEFAULTS",
        "CONFIG",
        "CONFIGURATION",
        "SETTINGS",
    ];

    private static readonly string[] ErrorWords = ["ERROR", "ERR", "LOG", "CRASH", "DUMP"];

    /// <summary>Why a variable of that name never moves; null where nothing speaks against it.</summary>
    public static string? NeverMoves(string name, Guid vendor) =>
        vendor == SignatureDatabase || KeyNames.Contains(name, StringComparer.Ordinal)
            ? "keys and state of verified boot: bound to the platform that took ownership"
        : IsBoot(name, vendor) ? "boot order, consoles and language: the newer firmware finds its own"
        : name is "MTC" ? "a counter of starts: the firmware keeps its own"
        : name.StartsWith("MemoryTypeInformation", StringComparison.Ordinal)
            ? "a hint for the memory map of another version"
        : name.StartsWith("MemoryOverwriteRequest", StringComparison.Ordinal)
            ? "a request of the last start, not of the machine"
        : null;

    /// <summary>Whether the name speaks of settings, whose layout may have changed.</summary>
    public static bool IsSetting(string name) =>
        Words(name).Any(word => SettingWords.Contains(word, StringComparer.Ordinal));

    /// <summary>Whether the name speaks of errors or logs.</summary>
    public static bool IsErrorRecord(string name) =>
        Words(name).Any(word => ErrorWords.Contains(word, StringComparer.Ordinal));

    /// <summary>Whether the name speaks of a password, lock or mark of ownership.</summary>
    public static bool IsOwnership(string name) =>
        Words(name).Any(word => OwnershipWords.Contains(word, StringComparer.Ordinal));

    /// <summary>The word of the name that speaks of identity; null where none does.</summary>
    public static string? IdentityWord(string name)
    {
        string[] words = [.. Words(name)];
        // "board id", "machine id" and the like.
        for (int i = 1; i < words.Length; i++)
        {
            if (words[i] == "ID" && words[i - 1] is "BOARD" or "MACHINE" or "SYSTEM" or "PRODUCT" or "DEVICE" or "UNIT")
            {
                return $"{words[i - 1]} ID";
            }
        }
        return words.FirstOrDefault(word => IdentityWords.Contains(word, StringComparer.Ordinal));
    }

    private static bool IsBoot(string name, Guid vendor) =>
        vendor == Global
        && (
            BootWords.Contains(name, StringComparer.Ordinal)
            || Numbered(name, "Boot")
            || Numbered(name, "Driver")
            || Numbered(name, "Key")
            || Numbered(name, "SysPrep")
            || Numbered(name, "PlatformRecovery")
        );

    private static bool Numbered(string name, string word) =>
        name.Length == word.Length + 4
        && name.StartsWith(word, StringComparison.Ordinal)
        && name[word.Length..].All(char.IsAsciiHexDigit);

    // SystemSerialNumber, system_serial, BOARD-SN: words in capitals.
    private static IEnumerable<string> Words(string name)
    {
        int start = 0;
        for (int i = 1; i <= name.Length; i++)
        {
            bool cut =
                i == name.Length
                || !char.IsAsciiLetterOrDigit(name[i])
                || !char.IsAsciiLetterOrDigit(name[i - 1])
                || (char.IsAsciiLetterUpper(name[i]) && char.IsAsciiLetterLower(name[i - 1]))
                || (
                    char.IsAsciiLetterUpper(name[i])
                    && i + 1 < name.Length
                    && char.IsAsciiLetterLower(name[i + 1])
                    && char.IsAsciiLetterUpper(name[i - 1])
                )
                || (char.IsAsciiDigit(name[i]) != char.IsAsciiDigit(name[i - 1]));
            if (cut)
            {
                string word = name[start..i].Trim('-', '_', ' ', '.');
                if (word.Length > 0)
                {
                    yield return word.ToUpperInvariant();
                }
                start = i;
            }
        }
    }
}
