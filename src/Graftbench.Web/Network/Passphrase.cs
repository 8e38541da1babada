using System.Security.Cryptography;
using System.Text;

namespace Graftbench.Web.Network;

/// <summary>What is kept of a passphrase: never the passphrase itself.</summary>
/// <param name="Salt">Salt, Base64.</param>
/// <param name="Hash">PBKDF2 with SHA-256 over it, Base64.</param>
/// <param name="Iterations">How often it was hashed.</param>
/// <remarks>
/// 600,000 rounds of HMAC-SHA-256 are what the OWASP Password Storage Cheat Sheet asks of PBKDF2. Length is asked for and nothing else:
/// rules on the kinds of characters make passphrases worse (NIST SP 800-63B, 5.1.1.2).
/// </remarks>
public sealed record Passphrase(string Salt, string Hash, int Iterations)
{
    /// <summary>Rounds of hashing for new passphrases.</summary>
    public const int NewIterations = 600_000;

    /// <summary>Shortest passphrase [characters].</summary>
    public const int LeastCharacters = 12;

    /// <summary>Longest passphrase [characters]; hashing a longer one would only cost time.</summary>
    public const int MostCharacters = 256;

    private const int SaltBytes = 16;
    private const int HashBytes = 32;

    // Nobody's: checked where there is no such person, so that the answer takes as long.
    private static readonly Passphrase Nobody = Of(Convert.ToBase64String(RandomNumberGenerator.GetBytes(SaltBytes)));

    // Hashing keeps a core busy; many sign-ins at once wait for each other instead of starving a watched heat.
    private static readonly SemaphoreSlim OneAtATime = new(1);

    /// <summary>Why a new passphrase is not taken; null where it is.</summary>
    public static string? Problem(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        return text.Length < LeastCharacters
                ? $"A passphrase needs at least {LeastCharacters} characters; several words are easy to keep in mind. Entered: {text.Length}."
            : text.Length > MostCharacters
                ? $"A passphrase has at most {MostCharacters} characters. Entered: {text.Length}."
            : null;
    }

    /// <summary>What is kept of a new passphrase.</summary>
    public static Passphrase Of(string text)
    {
        byte[] salt = RandomNumberGenerator.GetBytes(SaltBytes);
        return new Passphrase(
            Convert.ToBase64String(salt),
            Convert.ToBase64String(Stretch(text, salt, NewIterations)),
            NewIterations
        );
    }

    /// <summary>Whether a text is the passphrase of somebody. Takes as long where there is nobody.</summary>
    /// <param name="kept">What is kept of the passphrase; null for nobody.</param>
    /// <param name="text">What was entered.</param>
    /// <param name="stop">Ends the waiting for a turn.</param>
    public static async Task<bool> IsAsync(Passphrase? kept, string text, CancellationToken stop)
    {
        ArgumentNullException.ThrowIfNull(text);
        string entered = text.Length > MostCharacters ? text[..MostCharacters] : text;
        await OneAtATime.WaitAsync(stop);
        try
        {
            return await Task.Run(() => (kept ?? Nobody).Matches(entered), CancellationToken.None)
                && kept is not null
                && text.Length <= MostCharacters;
        }
        finally
        {
            OneAtATime.Release();
        }
    }

    private bool Matches(string text) =>
        CryptographicOperations.FixedTimeEquals(
            Stretch(text, Convert.FromBase64String(Salt), Iterations),
            Convert.FromBase64String(Hash)
        );

    private static byte[] Stretch(string text, byte[] salt, int iterations) =>
        Rfc2898DeriveBytes.Pbkdf2(Encoding.UTF8.GetBytes(text), salt, iterations, HashAlgorithmName.SHA256, HashBytes);
}
