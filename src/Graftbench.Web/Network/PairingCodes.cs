using System.Security.Cryptography;
using System.Text;

namespace Graftbench.Web.Network;

/// <summary>A code that pairs one device.</summary>
/// <param name="Text">The code as it is shown, in two groups.</param>
/// <param name="Ends">When it is worth nothing any more.</param>
public sealed record PairingCode(string Text, DateTimeOffset Ends);

/// <summary>
/// The pairing code of the moment: one at a time, for five minutes, for one device, for ten tries. Eight of 32 signs are 40
/// bits, so ten tries hit with a chance of 1 in 10^11.
/// </summary>
public sealed class PairingCodes(TimeProvider time)
{
    /// <summary>How long a code lasts.</summary>
    public static readonly TimeSpan Lasts = TimeSpan.FromMinutes(5);

    /// <summary>Wrong tries after which a code is worth nothing.</summary>
    public const int MostTries = 10;

    // Without what is easily mistaken for another: I, L, O, U.
    private const string Signs = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
    private const int Length = 8;
    private readonly Lock gate = new();
    private PairingCode? current;
    private int tries;

    /// <summary>The code that can be used now; null for none.</summary>
    public PairingCode? Current
    {
        get
        {
            lock (gate)
            {
                return current is { } code && time.GetUtcNow() < code.Ends ? code : null;
            }
        }
    }

    /// <summary>Makes a code; an earlier one is worth nothing from now on.</summary>
    public PairingCode Make()
    {
        string signs = RandomNumberGenerator.GetString(Signs, Length);
        PairingCode code = new($"{signs[..4]}-{signs[4..]}", time.GetUtcNow() + Lasts);
        lock (gate)
        {
            current = code;
            tries = 0;
        }
        return code;
    }

    /// <summary>Takes the code back.</summary>
    public void Drop()
    {
        lock (gate)
        {
            current = null;
        }
    }

    /// <summary>Uses a code up. The answer is the same for a wrong, a used and an old one.</summary>
    /// <param name="entered">What was entered; capitals, spaces and dashes do not count.</param>
    public bool Take(string entered)
    {
        ArgumentNullException.ThrowIfNull(entered);
        string plain = Plain(entered);
        lock (gate)
        {
            if (current is not { } code || time.GetUtcNow() >= code.Ends)
            {
                return false;
            }
            bool right = CryptographicOperations.FixedTimeEquals(
                Encoding.UTF8.GetBytes(plain),
                Encoding.UTF8.GetBytes(Plain(code.Text))
            );
            if (right || ++tries >= MostTries)
            {
                current = null;
            }
            return right;
        }
    }

    private static string Plain(string text) =>
        string.Concat(
            text.Take(64)
                .Where(c => !char.IsWhiteSpace(c) && c != '-')
                .Select(c =>
                    char.ToUpperInvariant(c) switch
                    {
                        'O' => '0',
                        'I' or 'L' => '1',
                        var other => other,
                    }
                )
        );
}
