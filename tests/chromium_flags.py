"""What a Chromium for tests does without: less of a busy machine goes to pages that nobody looks at."""

LEAN = "--disable-features=" + ",".join(
    (
        # Pages of the browser's own for every window: more than half of what it takes to open one.
        "WebUIOmniboxPopup",
        "WebUIOmniboxAimPopup",
        # A process for every window, for the case that it comes to another site.
        "SpareRendererForSitePerProcess",
        # As Playwright has it, whose own list this one replaces.
        "AvoidUnnecessaryBeforeUnloadCheckSync",
        "DestroyProfileOnBrowserClose",
        "HttpsUpgrades",
        "MediaRouter",
        "OptimizationHints",
        "PaintHolding",
        "ThirdPartyStoragePartitioning",
    )
)
