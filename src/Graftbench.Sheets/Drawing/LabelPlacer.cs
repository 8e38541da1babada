namespace Graftbench.Sheets.Drawing;

/// <summary>Where a label went.</summary>
/// <param name="Box">Room it takes.</param>
/// <param name="Leader">Stroke that ties it to its thing; null where it lies in or beside it.</param>
internal sealed record PlacedLabel(Box Box, Seg? Leader);

/// <summary>Finds room for labels so that none lies on another; what finds none is left out rather than piled up.</summary>
/// <param name="area">Labels stay inside.</param>
internal sealed class LabelPlacer(Box area)
{
    private static readonly double[] Rings = [16, 28, 44, 64, 90, 120];
    private readonly List<Box> labels = [];
    private readonly List<(Box Box, string Owner)> things = [];

    /// <summary>A thing that labels of other things should not cover.</summary>
    public void Avoid(Box box, string owner) => things.Add((box, owner));

    /// <summary>Room that no label may take.</summary>
    public void Block(Box box) => labels.Add(box);

    /// <summary>Finds room for a label.</summary>
    /// <param name="owner">The thing's name, as given to <see cref="Avoid"/>.</param>
    /// <param name="thing">The thing's extent.</param>
    /// <param name="width">Width of the label.</param>
    /// <param name="height">Height of the label.</param>
    /// <param name="insideAllowed">Whether it may lie on the thing itself.</param>
    /// <param name="important">Whether a leader line, and at last other things, may be used to give it room.</param>
    /// <returns>The place; null where there is none.</returns>
    public PlacedLabel? Place(string owner, Box thing, double width, double height, bool insideAllowed, bool important)
    {
        double cx = thing.X + (thing.Width / 2);
        double cy = thing.Y + (thing.Height / 2);
        if (insideAllowed && width <= thing.Width - 2 && height <= thing.Height)
        {
            Box inside = new(cx - (width / 2), cy - (height / 2), width, height);
            if (Free(inside, owner, thingsToo: true))
            {
                return Keep(inside, null);
            }
        }
        Box[] beside =
        [
            new(thing.Right + 3, cy - (height / 2), width, height),
            new(thing.X - 3 - width, cy - (height / 2), width, height),
            new(cx - (width / 2), thing.Y - 3 - height, width, height),
            new(cx - (width / 2), thing.Bottom + 4, width, height),
        ];
        foreach (Box candidate in beside)
        {
            if (Free(candidate, owner, thingsToo: true))
            {
                return Keep(candidate, null);
            }
        }
        if (!important)
        {
            return null;
        }
        foreach (bool thingsToo in (bool[])[true, false])
        {
            if (OnRings(owner, thing, width, height, thingsToo) is PlacedLabel found)
            {
                return found;
            }
        }
        return null;
    }

    private PlacedLabel? OnRings(string owner, Box thing, double width, double height, bool thingsToo)
    {
        double cx = thing.X + (thing.Width / 2);
        double cy = thing.Y + (thing.Height / 2);
        foreach (double ring in Rings)
        {
            for (int step = 0; step < 16; step++)
            {
                double angle = step * Math.PI / 8;
                double dx = Math.Cos(angle);
                double dy = -Math.Sin(angle);
                double x = cx + (dx * ((thing.Width / 2) + ring + (width / 2)));
                double y = cy + (dy * ((thing.Height / 2) + ring + (height / 2)));
                Box candidate = new(x - (width / 2), y - (height / 2), width, height);
                if (Free(candidate, owner, thingsToo))
                {
                    Pt from = Nearest(candidate, new Pt(cx, cy));
                    Pt to = Nearest(thing, from);
                    return Keep(candidate, new Seg(from.X, from.Y, to.X, to.Y));
                }
            }
        }
        return null;
    }

    private static Pt Nearest(Box box, Pt p) =>
        new(Math.Clamp(p.X, box.X, box.Right), Math.Clamp(p.Y, box.Y, box.Bottom));

    private bool Free(Box candidate, string owner, bool thingsToo)
    {
        if (!candidate.Inside(area))
        {
            return false;
        }
        foreach (Box label in labels)
        {
            if (label.Meets(candidate))
            {
                return false;
            }
        }
        if (thingsToo)
        {
            foreach ((Box box, string whose) in things)
            {
                if (whose != owner && box.Meets(candidate))
                {
                    return false;
                }
            }
        }
        return true;
    }

    private PlacedLabel Keep(Box box, Seg? leader)
    {
        labels.Add(box.Grown(2));
        return new PlacedLabel(box, leader);
    }
}
