namespace Graftbench.Web.Network;

/// <summary>What somebody may do; each role may do what those before it may.</summary>
public enum Role
{
    /// <summary>Anyone who reaches the address: the pairing page, styles, the authority's certificate.</summary>
    Anyone,

    /// <summary>A paired device on which nobody has signed in: the sign-in page.</summary>
    Paired,

    /// <summary>Looks on: pages, nothing else. No downloads, no changes.</summary>
    Viewer,

    /// <summary>Works on jobs: changes, uploads and downloads.</summary>
    Technician,

    /// <summary>Answers for the shop: people, devices and the data of customers too.</summary>
    Owner,

    /// <summary>Sits at the bench itself, on its own machine.</summary>
    Bench,
}

/// <summary>The role that an address needs; every endpoint carries one.</summary>
/// <param name="Role">The least role.</param>
public sealed record NeededRole(Role Role);
