"""Static files under names that change with their content, so that no browser shows an old one."""

from whitenoise.storage import CompressedManifestStaticFilesStorage  # type: ignore[import-untyped]  # WhiteNoise has no types


class HashedFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """With the names of imported modules in our scripts changed too."""

    support_js_module_import_aggregation = True
