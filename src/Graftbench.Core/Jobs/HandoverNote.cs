using System.ComponentModel;

namespace Graftbench.Core.Jobs;

/// <summary>What a person enters for the hand-over; everything but the soak's log stands on the hand-over sheet.</summary>
[Description("What is told and given to the owner at hand-over. Its texts stand on the hand-over sheet as written.")]
public sealed record HandoverNote
{
    [Description("What was done and why, in words for the owner.")]
    [Text(800)]
    public string? WhatWasDone { get; init; }

    [Description("What works now, in words for the owner.")]
    [Text(500)]
    public string? WhatWorks { get; init; }

    [Description("Limits that the owner must know: cooling, sleep, what it is not to be used for.")]
    [Text(500)]
    public string? Limits { get; init; }

    [Description("What the owner was told of findings that were set aside, when and how; in words for the owner.")]
    [Text(500)]
    public string? ToldOwner { get; init; }

    [Description("Length of the warranty; 0 for none.")]
    [Allowed(0, 3650, Unit = "d")]
    public int? WarrantyDays { get; init; }

    [Description("When the warranty starts; the moment of handing over if left out.")]
    public DateTimeOffset? WarrantyFrom { get; init; }

    [Description("What the warranty does not cover.")]
    [Text(400)]
    public string? Exclusions { get; init; }

    [Description("What became of the owner's data: untouched, backed up, erased.")]
    [Text(250)]
    public string? DataState { get; init; }

    [Description("Old parts and waste: kept by the shop for disposal, or given back.")]
    [Text(250)]
    public string? WasteTaken { get; init; }

    [Description("Where trouble is reported: address, telephone, hours.")]
    [Text(200)]
    public string? ReportTo { get; init; }

    [Description("How long it ran after the work, with its cooler fitted; 0 for not at all.")]
    [Allowed(0, 2000, Unit = "h")]
    public double? SoakHours { get; init; }

    [Description("Name of the soak's log among the evidence of the job.")]
    [Text(260)]
    public string? SoakLog { get; init; }

    [Description("When it was handed over; set by handing over.")]
    public DateTimeOffset? HandedOverAt { get; init; }
}
