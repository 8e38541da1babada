using System.Globalization;
using Graftbench.Core.Handover;
using Graftbench.Core.Jobs;
using Graftbench.Core.Ledger;
using Graftbench.Core.Planning;
using Graftbench.Sheets.Drawing;
using static System.FormattableString;

namespace Graftbench.Sheets.Sheet;

/// <summary>
/// Puts a hand-over into the order in which an owner reads it. Every text is either a sentence of this program or a field
/// that was entered for the owner: findings, evidence, waivers and the shop's own names for things stay out.
/// </summary>
internal sealed class HandoverComposer
{
    private const string NotStated = "not stated";

    // The owner's wish may be a page long; the sheet must not be.
    private const int MostWishCharacters = 200;

    // A job may move many chips; the owner is told of the first ones.
    private const int MostChips = 3;
    private readonly JobPlan plan;
    private readonly HandoverAnswer answer;
    private readonly HandoverNote note;
    private readonly List<Block> blocks = [];

    private HandoverComposer(JobPlan plan, HandoverAnswer answer)
    {
        this.plan = plan;
        this.answer = answer;
        note = plan.Job.Handover ?? new HandoverNote();
    }

    /// <summary>Composes the sheet.</summary>
    public static SheetDocument Compose(JobPlan plan, HandoverAnswer answer)
    {
        HandoverComposer composer = new(plan, answer);
        composer.Head();
        composer.Done();
        composer.Tests();
        composer.Limits();
        composer.Identity();
        composer.Solder();
        composer.Terms();
        composer.Trouble();
        composer.Signature();
        string machine = Text(plan.Job.Machine.What) is { Length: > 0 } what ? what : plan.Job.Id;
        return new SheetDocument(
            $"Hand-over sheet: {machine}",
            $"Hand-over sheet · job {Text(plan.Job.Id)} · {machine}",
            composer.blocks
        );
    }

    private static string Text(string? text) => SheetText.Clean(text).Trim();

    private string Day(DateTimeOffset at) =>
        at.ToOffset(plan.ComputedAt.Offset).ToString("d MMMM yyyy", CultureInfo.InvariantCulture);

    private static Fact Known(string name, string? value) =>
        Text(value) is { Length: > 0 } text ? new Fact(name, text) : new Fact(name, NotStated, true);

    private void Section(string title) => blocks.Add(new Heading(2, title));

    private void Say(string text, bool bold = false) => blocks.Add(new Paragraph(text, bold));

    private void Entered(string? text, string missing)
    {
        string given = Text(text);
        Say(given.Length > 0 ? given : missing);
    }

    private void Head()
    {
        Job job = plan.Job;
        blocks.Add(new Heading(1, "Hand-over sheet"));
        if (!answer.MayHandOver)
        {
            Say("DRAFT: this work is not ready to be handed over.", bold: true);
        }
        else if (note.HandedOverAt is null)
        {
            Say("DRAFT: not handed over yet.", bold: true);
        }
        List<Fact> facts =
        [
            Known("Machine", job.Machine.What),
            Known("Serial number", job.Machine.Serial),
            Known("Owner", job.Machine.Owner),
            Known("Job", job.Id),
            Known("Shop", job.Shop.Name),
            Known("Technician", job.Shop.Technician),
            new Fact("Handed over", note.HandedOverAt is { } at ? Day(at) : "not yet", note.HandedOverAt is null),
        ];
        if (Text(job.Host.Serial) is { Length: > 0 } board)
        {
            facts.Add(new Fact("Board, serial", board));
        }
        foreach (Chip chip in job.Chips.Where(chip => chip.To == ChipPlace.Host).Take(MostChips))
        {
            if (Text(chip.Marking) is { Length: > 0 } marking)
            {
                facts.Add(new Fact("Chip, marked", marking));
            }
        }
        blocks.Add(new Facts(facts));
    }

    private void Done()
    {
        Section("What was done, and why");
        if (Text(plan.Job.Machine.Wish) is { Length: > 0 } wish)
        {
            Say("You asked for: " + Cut(wish));
        }
        Entered(note.WhatWasDone, "Not stated yet.");
        Section("What works now");
        Entered(note.WhatWorks, "Not stated yet.");
    }

    private static string Cut(string text)
    {
        StringInfo elements = new(text);
        return elements.LengthInTextElements <= MostWishCharacters
            ? text
            : elements.SubstringByTextElements(0, MostWishCharacters).TrimEnd() + " …";
    }

    private void Tests()
    {
        Section("What was tested, and what could not be");
        HandoverTest[] made = [.. answer.Tests.Where(test => test.Outcome != HandoverOutcome.NotTested)];
        HandoverTest[] wrong = [.. made.Where(test => test.Outcome == HandoverOutcome.Wrong)];
        List("Tested:", made.Except(wrong), "No test was made.");
        if (wrong.Length > 0)
        {
            List("Not as it should be:", wrong, "");
        }
        List(
            "NOT tested, so nothing is promised about it:",
            answer.Tests.Where(test => test.Outcome == HandoverOutcome.NotTested),
            "Nothing was left out."
        );
        if (Text(note.ToldOwner) is { Length: > 0 } told)
        {
            Say("What you were told: " + told);
        }
    }

    private void List(string title, IEnumerable<HandoverTest> tests, string none)
    {
        Say(title, bold: true);
        string[] words = [.. tests.Select(test => test.Words)];
        blocks.Add(new Bullets(words.Length > 0 ? words : [none]));
    }

    private void Limits()
    {
        Section("Limits");
        if (plan.Apart?.FitSheet?.MemoryGib is { } most)
        {
            Say(Invariant($"It can use at most {most:0.##} GiB of memory."));
        }
        Entered(note.Limits, "No limits are known beside those of the machine itself.");
    }

    private void Identity()
    {
        Section("Is it still the same machine?");
        Say(
            answer.Identity.State switch
            {
                IdentityState.Untouched =>
                    "Yes. Its firmware stayed as it was, with everything that names this machine.",
                IdentityState.Kept when answer.Identity.Items.Count > 0 =>
                    $"Yes. Its firmware is new; carried over and read back: {string.Join(", ", answer.Identity.Items.Select(Text))}.",
                IdentityState.Kept =>
                    "Yes. Its firmware is new; what names this machine was carried over and read back.",
                _ => "This was not tested: check its serial number, network addresses and licences when you start it.",
            }
        );
    }

    private void Solder()
    {
        Section("Solder and heat");
        Say(
            answer.Solder.Leaded switch
            {
                true =>
                    $"The solder under the chip holds LEAD{Named()}. Do not touch or scrape it; wash your hands if you did, and keep it from children and food. It must not go into household waste.",
                false => $"The solder under the chip holds no lead{Named()}.",
                _ =>
                    "It is not known whether the solder under the chip holds lead: treat it as if it did. Do not touch or scrape it; wash your hands if you did.",
            }
        );
        HeatAccount[] chips =
        [
            .. answer
                .Heats.Where(account => account.Id != "host")
                .OrderByDescending(account => account.SpentNumber)
                .Take(MostChips),
        ];
        foreach (HeatAccount account in chips.Concat(answer.Heats.Where(account => account.Id == "host")))
        {
            string what =
                account.Id == "host" ? "the board"
                : chips.Length == 1 ? "the chip"
                : "a chip";
            if (account.Spent.Count == 0)
            {
                Say($"How many soldering heats {what} has had was not recorded.");
                continue;
            }
            string heats = account.SpentNumber == 1 ? "soldering heat" : "soldering heats";
            string assumed = account.AssumedNumber > 0 ? ", its making assumed as one of them" : "";
            string against =
                account.SpentNumber > account.GuidelineNumber
                    ? "more than the guideline, as with almost every moved chip"
                    : "not more than the guideline";
            Say(
                Invariant(
                    $"By the record, {what} has had about {account.SpentNumber:0.#} {heats}{assumed}; the guideline is {account.GuidelineNumber:0}: {against}."
                )
            );
        }
    }

    private string Named() => answer.Solder.Alloys.Count > 0 ? $" ({string.Join(" with ", answer.Solder.Alloys)})" : "";

    private void Terms()
    {
        Section("Warranty");
        Say(
            answer.Warranty switch
            {
                null => "Not stated yet.",
                { Days: 0 } => "No warranty is given.",
                { Until: { } until, From: { } from } warranty => Invariant(
                    $"{Number(warranty.Days)} on the work and its solder joints, from {Day(from)} until {Day(until)}."
                ),
                { } warranty =>
                    $"{Number(warranty.Days)} on the work and its solder joints, from the day of handing over.",
            }
        );
        if (answer.Warranty is { Days: > 0 } && Text(note.Exclusions) is { Length: > 0 } exclusions)
        {
            Say("Not covered: " + exclusions);
        }
        blocks.Add(new Paragraph("Rights that the law gives you are not touched by this.", Small: true));
        Section("Your data, old parts and waste");
        Say("Data: " + (Text(note.DataState) is { Length: > 0 } data ? data : "not stated yet."));
        Say("Old parts and waste: " + (Text(note.WasteTaken) is { Length: > 0 } waste ? waste : "not stated yet."));
    }

    private static string Number(int days) => days == 1 ? "1 day" : Invariant($"{days} days");

    private void Trouble()
    {
        Section("If something is wrong");
        Say(
            "If it gets hot, smells or smokes: switch it off, unplug it and keep it off. Do not try again, and do not open it.",
            bold: true
        );
        Say("Report it to: " + (Text(note.ReportTo) is { Length: > 0 } where ? where : "not stated yet."));
        Say(
            "Say what you saw and when, and bring this sheet. The same points are measured again and compared before anything else is done."
        );
    }

    private void Signature() =>
        blocks.Add(new SignLines(["For the shop, date", "Owner or on the owner's behalf, date"]));
}
