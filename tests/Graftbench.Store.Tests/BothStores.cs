using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

// Every test of what the store does runs on both databases.
public sealed class SqliteBadImportTests() : BadImportTests(StoreKind.Sqlite);

public sealed class PostgresBadImportTests() : BadImportTests(StoreKind.Postgres);

public sealed class SqliteBenchFactTests() : BenchFactTests(StoreKind.Sqlite);

public sealed class PostgresBenchFactTests() : BenchFactTests(StoreKind.Postgres);

public sealed class SqliteConcurrencyTests() : ConcurrencyTests(StoreKind.Sqlite);

public sealed class PostgresConcurrencyTests() : ConcurrencyTests(StoreKind.Postgres);

public sealed class SqliteEvidenceTests() : EvidenceTests(StoreKind.Sqlite);

public sealed class PostgresEvidenceTests() : EvidenceTests(StoreKind.Postgres);

public sealed class SqliteForgedChainTests() : ForgedChainTests(StoreKind.Sqlite);

public sealed class PostgresForgedChainTests() : ForgedChainTests(StoreKind.Postgres);

public sealed class SqliteJobTests() : JobTests(StoreKind.Sqlite);

public sealed class PostgresJobTests() : JobTests(StoreKind.Postgres);

public sealed class SqliteKillTests() : KillTests(StoreKind.Sqlite);

public sealed class PostgresKillTests() : KillTests(StoreKind.Postgres);

public sealed class SqliteRemovalTests() : RemovalTests(StoreKind.Sqlite);

public sealed class PostgresRemovalTests() : RemovalTests(StoreKind.Postgres);

public sealed class SqliteRemovalTravelTests() : RemovalTravelTests(StoreKind.Sqlite);

public sealed class PostgresRemovalTravelTests() : RemovalTravelTests(StoreKind.Postgres);

public sealed class SqliteRoundTripTests() : RoundTripTests(StoreKind.Sqlite);

public sealed class PostgresRoundTripTests() : RoundTripTests(StoreKind.Postgres);

public sealed class SqliteRunTests() : RunTests(StoreKind.Sqlite);

public sealed class PostgresRunTests() : RunTests(StoreKind.Postgres);

public sealed class SqliteSearchTests() : SearchTests(StoreKind.Sqlite);

public sealed class PostgresSearchTests() : SearchTests(StoreKind.Postgres);

public sealed class SqliteShelfTests() : ShelfTests(StoreKind.Sqlite);

public sealed class PostgresShelfTests() : ShelfTests(StoreKind.Postgres);

public sealed class SqliteTablesTests() : TablesTests(StoreKind.Sqlite);

public sealed class PostgresTablesTests() : TablesTests(StoreKind.Postgres);

public sealed class SqliteTransferTests() : TransferTests(StoreKind.Sqlite);

public sealed class PostgresTransferTests() : TransferTests(StoreKind.Postgres);
