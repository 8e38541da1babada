using Graftbench.Core.Jobs;
using Graftbench.Tests.Shared;

namespace Graftbench.Core.Tests.Jobs;

public sealed class JobReaderCorpusTests
{
    [Theory, MemberData(nameof(Corpus.GoodFiles), MemberType = typeof(Corpus))]
    public void Good_files_have_no_problem(string name) =>
        Assert.Equal("", Spelled.Problems(JobReader.Read(Corpus.ReadGood(name), Corpus.Now)));

    [Theory, MemberData(nameof(Corpus.GoodFiles), MemberType = typeof(Corpus))]
    public void Writing_what_was_read_is_read_back_the_same(string name)
    {
        byte[] once = JobFormat.Write(Corpus.GoodJob(name));
        Job again = JobReader.Read(once, Corpus.Now).Job!;
        Assert.Equal(once, JobFormat.Write(again));
    }

    [Theory, MemberData(nameof(Corpus.BrokenFiles), MemberType = typeof(Corpus))]
    public void Broken_files_give_the_expected_problems(string name)
    {
        JobReading reading = JobReader.Read(Corpus.ReadBroken(name), Corpus.Now);
        Assert.Null(reading.Job);
        Assert.NotEmpty(reading.Problems);
        Snapshot.Match(Spelled.Problems(reading), Path.Combine(Corpus.Broken, name + ".expected.txt"));
    }
}
