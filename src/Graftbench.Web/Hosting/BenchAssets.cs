using System.IO.Compression;
using System.Reflection;
using System.Security.Cryptography;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.Net.Http.Headers;

namespace Graftbench.Web.Hosting;

/// <summary>
/// Styles and scripts carried inside the assembly. All share one address prefix with a hash over all of them, so modules
/// import each other by relative path and a browser never mixes two versions.
/// </summary>
public static class BenchAssets
{
    private sealed record Asset(string MediaType, byte[] Plain, byte[] Brotli);

    private static readonly Dictionary<string, Asset> ByName = Load();

    /// <summary>Hash over all assets: the middle part of their addresses.</summary>
    public static string Stamp { get; } = ComputeStamp();

    /// <summary>Address of an asset.</summary>
    /// <param name="name">File name below <c>Assets/</c>.</param>
    public static string Url(string name) =>
        ByName.ContainsKey(name)
            ? $"/assets/{Stamp}/{name}"
            : throw new ArgumentException($"No asset '{name}'.", nameof(name));

    internal static void MapAssets(this IEndpointRouteBuilder routes) =>
        routes.MapGet("/assets/{stamp}/{**name}", Serve);

    private static IResult Serve(HttpContext http, string stamp, string name)
    {
        if (!ByName.TryGetValue(name, out Asset? asset))
        {
            return Results.NotFound();
        }
        IHeaderDictionary headers = http.Response.Headers;
        headers.CacheControl = stamp == Stamp ? "public, max-age=31536000, immutable" : "no-cache";
        headers.Vary = "Accept-Encoding";
        bool brotli = http.Request.Headers.AcceptEncoding.ToString().Contains("br", StringComparison.Ordinal);
        if (brotli)
        {
            headers.ContentEncoding = "br";
        }
        EntityTagHeaderValue tag = new($"\"{Stamp}{(brotli ? "-br" : "")}\"");
        return Results.Bytes(brotli ? asset.Brotli : asset.Plain, asset.MediaType, entityTag: tag);
    }

    private static Dictionary<string, Asset> Load()
    {
        const string Prefix = "assets/";
        Assembly assembly = typeof(BenchAssets).Assembly;
        Dictionary<string, Asset> assets = new(StringComparer.Ordinal);
        foreach (string resource in assembly.GetManifestResourceNames())
        {
            if (!resource.StartsWith(Prefix, StringComparison.Ordinal))
            {
                continue;
            }
            using Stream stream = assembly.GetManifestResourceStream(resource)!;
            byte[] plain = new byte[stream.Length];
            stream.ReadExactly(plain);
            string name = resource[Prefix.Length..].Replace('\\', '/');
            assets[name] = new Asset(MediaType(name), plain, Compress(plain));
        }
        return assets;
    }

    private static byte[] Compress(byte[] plain)
    {
        using MemoryStream packed = new();
        using (BrotliStream brotli = new(packed, CompressionLevel.Optimal, leaveOpen: true))
        {
            brotli.Write(plain);
        }
        return packed.ToArray();
    }

    private static string MediaType(string name) =>
        Path.GetExtension(name) switch
        {
            ".css" => "text/css; charset=utf-8",
            ".js" => "text/javascript; charset=utf-8",
            ".svg" => "image/svg+xml",
            _ => "application/octet-stream",
        };

    private static string ComputeStamp()
    {
        using IncrementalHash hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        foreach ((string name, Asset asset) in ByName.OrderBy(pair => pair.Key, StringComparer.Ordinal))
        {
            hash.AppendData(System.Text.Encoding.UTF8.GetBytes(name));
            hash.AppendData(asset.Plain);
        }
        return Convert.ToHexStringLower(hash.GetHashAndReset())[..12];
    }
}
