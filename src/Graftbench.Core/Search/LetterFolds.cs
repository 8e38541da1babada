using System.Collections.Frozen;

namespace Graftbench.Core.Search;

/// <summary>Letters without their marks, so that <c>sleser</c> finds <c>Šlesér</c>.</summary>
/// <remarks>
/// Small letters of the Latin and Greek blocks whose canonical decomposition begins with one letter, from the Unicode
/// Character Database (UnicodeData.txt, field 5, version 14.0.0). The program runs without language data of the system, so it
/// brings its own. Letters that do not decompose and have a usual plain form (ß, æ, ø, ł, đ, ı, the micro sign) are ours.
/// </remarks>
internal static class LetterFolds
{
    private static readonly (char Plain, string Marked)[] Letters =
    [
        ('I', "İ"),
        ('a', "àáâãäåāăąǎǟǡǻȁȃȧḁạảấầẩẫậắằẳẵặ"),
        ('b', "ḃḅḇ"),
        ('c', "çćĉċčḉ"),
        ('d', "ďḋḍḏḑḓ"),
        ('e', "èéêëēĕėęěȅȇȩḕḗḙḛḝẹẻẽếềểễệ"),
        ('f', "ḟ"),
        ('g', "ĝğġģǧǵḡ"),
        ('h', "ĥȟḣḥḧḩḫẖ"),
        ('i', "ìíîïĩīĭįǐȉȋḭḯỉị"),
        ('j', "ĵǰ"),
        ('k', "ķǩḱḳḵ"),
        ('l', "ĺļľḷḹḻḽ"),
        ('m', "ḿṁṃ"),
        ('n', "ñńņňǹṅṇṉṋ"),
        ('o', "òóôõöōŏőơǒǫǭȍȏȫȭȯȱṍṏṑṓọỏốồổỗộớờởỡợ"),
        ('p', "ṕṗ"),
        ('r', "ŕŗřȑȓṙṛṝṟ"),
        ('s', "śŝşšșṡṣṥṧṩ"),
        ('t', "ţťțṫṭṯṱẗ"),
        ('u', "ùúûüũūŭůűųưǔǖǘǚǜȕȗṳṵṷṹṻụủứừửữự"),
        ('v', "ṽṿ"),
        ('w', "ŵẁẃẅẇẉẘ"),
        ('x', "ẋẍ"),
        ('y', "ýÿŷȳẏẙỳỵỷỹ"),
        ('z', "źżžẑẓẕ"),
        ('æ', "ǣǽ"),
        ('ø', "ǿ"),
        ('ſ', "ẛ"),
        ('ʒ', "ǯ"),
        ('α', "ά"),
        ('ε', "έ"),
        ('η', "ή"),
        ('ι', "ΐίϊ"),
        ('ο', "ό"),
        ('υ', "ΰϋύ"),
        ('ω', "ώ"),
        ('o', "ø"),
        ('l', "ł"),
        ('d', "đð"),
        ('i', "ı"),
        ('h', "ħ"),
        ('u', "\u00b5\u03bc"),
        ('\u03c3', "\u03c2"),
    ];

    private static readonly FrozenDictionary<char, char> ByMarked = Letters
        .SelectMany(row => row.Marked.Select(marked => (marked, row.Plain)))
        .ToFrozenDictionary(pair => pair.marked, pair => pair.Plain);

    /// <summary>The plain letter of a small letter; the letter itself where it has no marks.</summary>
    public static char Plain(char small) => ByMarked.GetValueOrDefault(small, small);

    /// <summary>Two letters that a letter is usually written as; null for all others.</summary>
    public static string? Pair(char small) =>
        small switch
        {
            'ß' => "ss",
            'æ' => "ae",
            'œ' => "oe",
            'þ' => "th",
            _ => null,
        };
}
