using System.Formats.Asn1;
using System.Net;
using System.Net.Sockets;
using System.Security.Cryptography.X509Certificates;

namespace Graftbench.Web.Network;

/// <summary>
/// The part of an authority's certificate that says for which names it may speak (RFC 5280, 4.2.1.10). Who trusts the bench's
/// authority trusts it for the bench and for private addresses, never for a bank: a stolen key is worth that much less.
/// </summary>
internal static class NameConstraints
{
    private const string ObjectIdentifier = "2.5.29.30";
    private static readonly Asn1Tag Permitted = new(TagClass.ContextSpecific, 0, isConstructed: true);
    private static readonly Asn1Tag DnsName = new(TagClass.ContextSpecific, 2);
    private static readonly Asn1Tag IpAddress = new(TagClass.ContextSpecific, 7);

    // Private and link-local ranges: RFC 1918, RFC 3927, RFC 4193; and this machine itself.
    private static readonly IPNetwork[] Private =
    [
        IPNetwork.Parse("10.0.0.0/8"),
        IPNetwork.Parse("172.16.0.0/12"),
        IPNetwork.Parse("192.168.0.0/16"),
        IPNetwork.Parse("169.254.0.0/16"),
        IPNetwork.Parse("127.0.0.0/8"),
        IPNetwork.Parse("fc00::/7"),
        IPNetwork.Parse("::1/128"),
    ];

    /// <summary>The extension that permits some names, the private ranges, and the given addresses outside them.</summary>
    public static X509Extension Permit(IEnumerable<string> names, IEnumerable<IPAddress> addresses)
    {
        AsnWriter writer = new(AsnEncodingRules.DER);
        using (writer.PushSequence())
        {
            using (writer.PushSequence(Permitted))
            {
                foreach (string name in names)
                {
                    using (writer.PushSequence())
                    {
                        writer.WriteCharacterString(UniversalTagNumber.IA5String, name, DnsName);
                    }
                }
                IEnumerable<IPNetwork> others = addresses
                    .Where(address => !Private.Any(range => range.Contains(address)))
                    .Select(address => new IPNetwork(address, address.GetAddressBytes().Length * 8));
                foreach (IPNetwork range in Private.Concat(others))
                {
                    using (writer.PushSequence())
                    {
                        writer.WriteOctetString([.. range.BaseAddress.GetAddressBytes(), .. Mask(range)], IpAddress);
                    }
                }
            }
        }
        return new X509Extension(ObjectIdentifier, writer.Encode(), critical: true);
    }

    private static byte[] Mask(IPNetwork range)
    {
        byte[] mask = new byte[range.BaseAddress.AddressFamily == AddressFamily.InterNetwork ? 4 : 16];
        for (int bit = 0; bit < range.PrefixLength; bit++)
        {
            mask[bit / 8] |= (byte)(0x80 >> (bit % 8));
        }
        return mask;
    }
}
