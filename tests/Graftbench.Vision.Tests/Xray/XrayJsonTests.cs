using System.Text.Json;
using Graftbench.Core.Planning;
using Graftbench.Shared.Vision;
using Graftbench.Vision.Xray;

namespace Graftbench.Vision.Tests.Xray;

public class XrayJsonTests
{
    [Fact]
    public void Joints_are_written_with_name_place_state_and_void()
    {
        XrayReading reading = XrayReader.Read(
            XrayScore.Request(
                XrayMaker.Make(
                    new XrayLook
                    {
                        Rows = 5,
                        Columns = 6,
                        PxPerMm = 50,
                    }
                )
            )
        );
        using JsonDocument json = JsonDocument.Parse(JsonSerializer.Serialize(reading, PlanJson.Options));
        JsonElement first = json.RootElement.GetProperty("joints")[0];
        Assert.Equal("A1", first.GetProperty("name").GetString());
        Assert.Equal("present", first.GetProperty("state").GetString());
        Assert.Equal(reading.Joints[0].XPx, first.GetProperty("xPx").GetDouble());
        Assert.True(first.GetProperty("outline")[0].GetProperty("yPx").GetDouble() > 0);
        Assert.Equal(25, json.RootElement.GetProperty("limit").GetProperty("areaPercent").GetDouble());
        Assert.Equal("E", json.RootElement.GetProperty("limit").GetProperty("revision").GetString());
    }
}
